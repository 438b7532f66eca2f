"""The petals of a bearded iris seen from the front, on a 100 by 100 view box, axis x = 50.

Back to front: the back standard, the two side falls, the two front standards that close to a
dome, the front fall, the style arms. Only the left one of a pair is given; the right is its mirror.
"""

from __future__ import annotations

from garden.flower.geometry import Petal, Point

BACK_STANDARD = Petal(
    spine=((50, 56), (50, 38), (50.6, 20), (50.4, 2)),
    left=((0, 4), (0.3, 11), (0.62, 19), (0.85, 17), (1, 13)),
    right=((0, 4), (0.3, 11), (0.62, 19), (0.85, 17), (1, 13)),
    blunt=2.8,
    ruffle=(0.5, 9, 0.6),
)
SIDE_STANDARD = Petal(
    spine=((47.5, 57), (38, 44), (15, 23), (49, 5)),
    left=((0, 1.8), (0.2, 2.6), (0.4, 7), (0.62, 12), (0.82, 10.5), (1, 6)),
    right=((0, 2), (0.2, 4.4), (0.42, 10.5), (0.62, 15), (0.82, 14), (1, 8)),
    blunt=3.6,
    ruffle=(0.5, 9, 3.4),
)
SIDE_FALL = Petal(
    spine=((48, 56), (33, 42), (12, 46), (8.5, 78.5)),
    left=((0, 3), (0.2, 4), (0.5, 12.5), (0.78, 18), (1, 15)),
    right=((0, 3), (0.2, 4), (0.5, 10.5), (0.78, 14), (1, 13)),
    blunt=3,
    ruffle=(0.7, 9, 1.0),
)
FRONT_FALL = Petal(
    spine=((50, 49), (50, 62), (50, 80), (50, 98.5)),
    left=((0, 4), (0.2, 6.2), (0.4, 15), (0.64, 27), (0.84, 27.5), (1, 23)),
    right=((0, 4), (0.2, 6.2), (0.4, 15), (0.64, 27), (0.84, 27.5), (1, 23)),
    blunt=2.8,
    ruffle=(0.8, 10, 0.9),
)

# The right petals, for marks that differ from side to side.
RIGHT_STANDARD, RIGHT_FALL = SIDE_STANDARD.mirrored(), SIDE_FALL.mirrored()

# Style arms: the front one stands over the front beard; its two frilled crests turn up and out.
FRONT_STYLE: tuple[Point, ...] = (
    (50, 59), (47.6, 58.2), (46.6, 55.5), (45.6, 51), (43.2, 48), (41.2, 47), (41.6, 44.6),
    (40.8, 42.4), (42.9, 41.6), (44, 39.6), (46, 40.4), (47.6, 39.2), (49, 42), (50, 45.5),
    (51, 42), (52.4, 39.2), (54, 40.4), (56, 39.6), (57.1, 41.6), (59.2, 42.4), (58.4, 44.6),
    (58.8, 47), (56.8, 48), (54.4, 51), (53.4, 55.5), (52.4, 58.2),
)  # fmt: skip
SIDE_STYLE: tuple[Point, ...] = (
    (48, 57), (43.5, 55), (39.5, 51.4), (36, 49), (32.6, 48.6), (31.6, 46.4), (29.4, 45.4),
    (30.4, 43.2), (29.8, 41), (32.2, 40.8), (33.6, 39.2), (35.6, 40.8), (38, 40.4), (39.4, 43),
    (42.4, 46.4), (48, 51.5),
)  # fmt: skip

# The beards' ridges, from the throat outward.
FRONT_RIDGE: tuple[Point, ...] = ((50, 57), (49.8, 62), (50.2, 67), (50, 73.5))
SIDE_RIDGE: tuple[Point, ...] = tuple(SIDE_FALL.at(t, -0.05) for t in (0.17, 0.25, 0.34, 0.43))
