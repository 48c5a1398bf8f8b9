"""From sunrise to noon: the plain, the wheel, the yard, the shelves, the shed."""

from demo_catalog.make.takes import Take, burst

TAKES = [
    *burst("plain bracket", "07:42:10.18", ["pl-w1"] * 4, ev=(0.0, 0.0, 0.7, -0.7)),
    Take("pl-w5", "07:49:31.52", faults=("tilted",)),
    Take("wh-w1", "08:41:07.33"),
    Take("wh-w2", "08:43:50.90", warm=(-0.18, 0.24), faults=("cool cast",)),
    *burst("wheel", "08:47:22.05", ["wh-m1"] * 3, ev=(0.0, 0.3, 0.0)),
    *burst("wheel focus", "08:52:14.60", ["wh-c1", "wh-c1", "wh-c1b", "wh-c1"], ev=(0.0, 0.0, 0.0, 0.3)),
    Take("wh-m2", "08:58:36.41", iso=6400, faults=("noisy",)),
    Take("wh-c2", "09:01:12.77"),
    Take("wh-c3", "09:06:48.12", ev=0.5, faults=("over by 0.5 EV",)),
    Take("wh-c4", "09:08:03.66"),
    *burst("yard", "09:47:55.25", ["ya-w1"] * 3, ev=(0.0, 0.0, -0.5)),
    Take("pl-m1", "09:52:41.83", faults=("tilted",)),
    Take("pl-c1", "09:55:17.48", soft=2.2, faults=("soft",)),
    Take("ya-m2", "10:03:29.37", turn=-0.9, faults=("tilted",)),
    Take("sv-w1", "10:16:20.14"),
    *burst("shelves bracket", "10:18:44.70", ["sv-m1"] * 3, ev=(0.0, 1.0, -0.5), twin=("shelves again",) * 3),
    *burst("glaze runs", "10:24:39.06", ["sv-c1"] * 3, soft=(0.0, 1.7, 0.0)),
    Take("sv-m2", "10:33:58.94", warm=(0.2, -0.26), faults=("warm cast",)),
    Take("sv-m3", "10:36:11.08", turn=1.5, faults=("tilted",)),
    Take("sh-m2", "11:02:27.81"),
    Take("sh-c1", "11:05:13.30", shake=13, faults=("camera shake",)),
    Take("sh-c2", "11:07:40.07"),
    Take("sh-m3", "11:11:52.46", ev=-0.7, faults=("under by 0.7 EV",)),
]
