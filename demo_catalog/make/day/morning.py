"""From sunrise to noon: the plain, the wheel, the yard, the shelves, the shed."""

from demo_catalog.make.takes import Take, burst

TAKES = [
    *burst("plain bracket", "07:42:10.18", ["pl-w1"] * 4, ev=(0.0, 0.0, 0.7, -0.7)),
    Take("pl-w5", "07:49:31.52"),
    Take("wh-w1", "08:41:07.33"),
    Take("wh-w2", "08:43:50.90", warm=(-0.18, 0.24), faults=("cool cast",)),
    Take("wh-m1", "08:47:22.05"),
    *burst("wheel focus", "08:52:14.60", ["wh-c1", "wh-c1", "wh-c1b", "wh-c1"], ev=(0.0, 0.0, 0.0, 0.3)),
    Take("wh-m2", "08:58:36.41", iso=12800, faults=("noisy",)),
    Take("wh-c2", "09:01:12.77"),
    Take("wh-c3", "09:06:48.12", ev=0.5, faults=("over by 0.5 EV",)),
    Take("wh-c4", "09:08:03.66"),
    Take("ya-w1", "09:47:55.25"),
    Take("pl-m1", "09:52:41.83"),
    Take("pl-c1", "09:55:17.48"),
    Take("pl-c2", "09:57:02.91", soft=2.6, faults=("soft",)),
    Take("ya-m2", "10:03:29.37", turn=-0.9, faults=("tilted",)),
    Take("sv-w1", "10:16:20.14"),
    *burst("shelves bracket", "10:18:44.70", ["sv-m1"] * 3, ev=(0.0, 1.0, -0.5), twin=("shelves again",) * 3),
    Take("sv-c1", "10:24:39.06"),
    Take("sv-c2", "10:26:11.59", warm=(0.2, -0.26), faults=("warm cast",)),
    Take("sv-m2", "10:31:05.22"),
    Take("sv-m3", "10:33:58.94", turn=1.5, faults=("tilted",)),
    Take("sh-m2", "11:02:27.81"),
    Take("sh-c1", "11:05:13.30"),
    Take("sh-c2", "11:07:40.07", shake=13, faults=("camera shake",)),
    Take(
        "sh-m3",
        "11:11:52.46",
        ev=1.9,
        warm=(-0.95, 1.05),
        faults=("clashes with every look", "over by 1.9 EV", "blue cast"),
    ),
    Take("sh-c3", "11:14:09.73"),
    Take("sh-w2", "11:19:33.15", ev=-0.7, faults=("under by 0.7 EV",)),
]
