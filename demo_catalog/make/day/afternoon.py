"""From noon to the last hour of work: the plain under a high sun, the bench, the drying ware."""

from demo_catalog.make.takes import Take, burst

TAKES = [
    Take("pl-w3", "12:51:08.62", faults=("tilted",)),
    Take("pl-m2", "12:55:44.19"),
    Take("be-w1", "14:07:19.55"),
    *burst("tools on the bench", "14:10:02.28", ["be-m1"] * 3, ev=(0.0, -1.0, 0.0)),
    *burst("tools", "14:13:36.91", ["be-c1"] * 3, soft=(0.0, 1.9, 0.0)),
    Take("be-c2", "14:18:51.35"),
    Take("be-m2", "14:25:09.02", warm=(0.24, -0.3), faults=("warm cast",)),
    *burst("drying ware", "15:12:04.44", ["ya-m1"] * 3),
    Take("ya-big", "15:17:38.89", whole=True),
    Take("ya-big", "15:19:20.46", part=(0.3, 0.6, 0.42)),
    Take(
        "ya-big",
        "15:20:44.05",
        part=(0.76, 0.6, 0.42),
        ev=1.9,
        warm=(-0.95, 1.05),
        faults=("clashes with every look", "over by 1.9 EV", "blue cast"),
    ),
    Take("ya-c2", "15:21:50.31"),
    *burst("shed", "15:40:12.20", ["sh-w1"] * 3, ev=(0.0, 0.3, -0.3)),
    Take("pl-w4", "15:58:21.76", faults=("tilted",)),
    Take("sv-m1b", "16:41:33.08", twin="shelves again"),
]
