"""The last sun on the yard and the shed, then the kiln at nightfall."""

from demo_catalog.make.takes import Take, burst

TAKES = [
    Take("sh-w3", "18:52:17.50"),
    *burst("shed door", "18:55:40.23", ["sh-m1"] * 3, ev=(0.0, 0.0, 0.5)),
    Take("ya-w2", "19:01:06.95", faults=("tilted",)),
    *burst("glazed ware", "19:04:28.12", ["ya-c1", "ya-c1b", "ya-c1", "ya-c1"], ev=(0.0, 0.0, 0.0, -0.3)),
    *burst("last sun", "19:09:53.67", ["pl-w2"] * 3, faults=(("tilted",),) * 3, ev=(0.0, -0.7, 0.0)),
    *burst("kiln bracket", "20:07:11.05", ["ki-w1"] * 3, ev=(0.0, 1.5, -1.0), step=0.83),
    Take("ki-w2", "20:10:34.71"),
    *burst("kiln face", "20:14:02.39", ["ki-m1"] * 3, ev=(0.0, 0.0, 0.3)),
    *burst("spy hole", "20:17:25.84", ["ki-c1", "ki-c1b", "ki-c1", "ki-c1", "ki-c1"], ev=(0.0, 0.0, -0.5, 0.5, 0.0)),
    Take("ki-m2", "20:22:48.16", iso=12800, noise=1.3, faults=("noisy",)),
    Take("ki-c2", "20:25:13.92"),
    Take(
        "ki-m3",
        "20:29:37.45",
        ev=-2.2,
        warm=(1.0, -0.9),
        faults=("clashes with every look", "under by 2.2 EV", "red cast"),
    ),
]
