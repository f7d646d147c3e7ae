"""Sun hours by ray casting on the same triangles, points and positions: an independent map.

Reads triangles.txt, points.txt, positions.txt (direction and hours) and hours.txt (the map to compare)
from the folder given; prints the time of the casting alone and how far the two maps lie apart.
Needs trimesh with its embree back end.
"""

import sys
import time
from pathlib import Path

import numpy as np
import trimesh
from trimesh.ray.ray_pyembree import RayMeshIntersector

folder = Path(sys.argv[1])
corners = np.loadtxt(folder / "triangles.txt").reshape(-1, 3, 3)
points = np.loadtxt(folder / "points.txt")
positions = np.loadtxt(folder / "positions.txt")
theirs = np.loadtxt(folder / "hours.txt")

mesh = trimesh.Trimesh(
    vertices=corners.reshape(-1, 3),
    faces=np.arange(3 * len(corners)).reshape(-1, 3),
    process=False,
)
caster = RayMeshIntersector(mesh)
caster.intersects_any(points[:1], positions[:1, :3])  # builds the index before the clock starts

hours = np.zeros(len(points))
start = time.perf_counter()
for dx, dy, dz, weight in positions:
    direction = np.tile([dx, dy, dz], (len(points), 1))
    hours += weight * ~caster.intersects_any(points, direction)
seconds = time.perf_counter() - start

apart = np.abs(hours - theirs)
print(f"seconds {seconds:.3f}")
print(
    f"maps: {len(points)} points, mean {hours.mean():.3f} h and {theirs.mean():.3f} h, "
    f"median difference {np.median(apart):.4f} h, 99 % within {np.quantile(apart, 0.99):.3f} h, "
    f"largest {apart.max():.3f} h of a sum of {positions[:, 3].sum():.1f} h"
)
if np.median(apart) > 0.01 or np.quantile(apart, 0.99) > 1.0:
    sys.exit("the maps differ by more than rays that graze an edge")
