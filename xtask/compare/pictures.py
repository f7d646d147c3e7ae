"""Rays and a reference scene by general-purpose engines, against which pictures are measured.

`pictures.py rays FOLDER`: triangles.f32 and rays.f32 (origin and direction), hits.f32 (distance, or below
zero for none); prints seconds of Embree's call alone and the share of rays on which both agree.
`pictures.py scene SCENE.json REFERENCE.f32`: renders with Mitsuba, one picture an emitter; prints for each
count of samples the wall seconds, processor seconds and the error against the reference.
Needs embreex and mitsuba, and for the latter a shared library of LLVM that it finds or that
DRJIT_LIBLLVM_PATH names.
"""

import json
import resource
import sys
import time

import numpy as np


def rays(folder):
    from embreex.mesh_construction import TriangleMesh
    from embreex.rtcore_scene import EmbreeScene

    corners = np.fromfile(f"{folder}/triangles.f32", dtype=np.float32).reshape(-1, 3, 3)
    lines = np.fromfile(f"{folder}/rays.f32", dtype=np.float32).reshape(-1, 6)
    ours = np.fromfile(f"{folder}/hits.f32", dtype=np.float32)
    scene = EmbreeScene()
    TriangleMesh(scene, corners)
    origins, directions = np.ascontiguousarray(lines[:, :3]), np.ascontiguousarray(lines[:, 3:])
    scene.run(origins[:8], directions[:8], query="DISTANCE")
    best = float("inf")
    for _ in range(3):
        start = time.perf_counter()
        found = scene.run(origins, directions, query="DISTANCE")
        best = min(best, time.perf_counter() - start)
    met = found < 1e30
    alike = (met == (ours >= 0)) & (~met | (np.abs(found - ours) < 1e-3 * np.maximum(1.0, ours)))
    print(f"embree {best:.4f} {alike.mean():.6f}")


def ball(path, rings=256):
    """A sphere of radius 1 as a mesh, its corners pushed out so that its volume is right."""
    lat = np.pi * np.arange(rings + 1) / rings
    lon = np.pi * np.arange(2 * rings) / rings
    corners = np.stack([np.outer(np.sin(lat), np.cos(lon)), np.outer(np.sin(lat), np.sin(lon)),
                        np.outer(np.cos(lat), np.ones_like(lon))], axis=-1).reshape(-1, 3)
    i, j = np.meshgrid(np.arange(rings), np.arange(2 * rings), indexing="ij")
    at = lambda a, b: a * 2 * rings + b % (2 * rings)
    faces = np.concatenate([np.stack([at(i, j), at(i + 1, j), at(i + 1, j + 1)], -1).reshape(-1, 3),
                            np.stack([at(i, j), at(i + 1, j + 1), at(i, j + 1)], -1).reshape(-1, 3)])
    a, b, c = (corners[faces[:, k]] for k in range(3))
    volume = abs(np.einsum("ij,ij->i", a, np.cross(b, c)).sum()) / 6
    corners *= (4 / 3 * np.pi / volume) ** (1 / 3)
    with open(path, "w") as file:
        file.write(f"ply\nformat ascii 1.0\nelement vertex {len(corners)}\nproperty float x\nproperty float y\n")
        file.write(f"property float z\nelement face {len(faces)}\nproperty list uchar int vertex_index\nend_header\n")
        np.savetxt(file, corners, fmt="%.7f")
        np.savetxt(file, np.column_stack([np.full(len(faces), 3), faces]), fmt="%d")
    return path


def scene(path, reference):
    import mitsuba as mi

    mi.set_variant("llvm_ad_rgb")
    told = json.load(open(path))
    ours = np.fromfile(reference, dtype=np.float32)

    def grey(shape):
        return {"type": "twosided", "bsdf": {"type": "diffuse", "reflectance": {"type": "rgb", "value": shape["reflectance"]}}}

    place = mi.ScalarTransform4f
    world = {"type": "scene", "integrator": {"type": "path", "max_depth": 4, "rr_depth": 1000}}
    for i, shape in enumerate(told["shapes"]):
        kind = shape["type"]
        if kind == "ground":
            body = {"type": "rectangle", "to_world": place().translate([*shape["center"], shape["z"]]).scale(shape["half_size"])}
        elif kind == "box":
            low, high = np.array(shape["min"]), np.array(shape["max"])
            body = {"type": "cube", "to_world": place().translate(list((low + high) / 2)).scale(list((high - low) / 2))}
        elif kind == "cylinder":
            low = shape["base"]
            body = {"type": "cylinder", "p0": low, "p1": [low[0], low[1], low[2] + shape["height"]], "radius": shape["radius"]}
        else:
            # The renderer's spheres are never stretched: a fine mesh is.
            body = {"type": "ply", "filename": ball(f"{reference}.ply"), "face_normals": True,
                    "to_world": place().translate(shape["center"]).scale(shape["radii"])}
        body["bsdf"] = grey(shape)
        world[f"shape{i}"] = body
    eye = told["camera"]
    world["sensor"] = {
        "type": "perspective", "fov": eye["fov_x_deg"], "fov_axis": "x",
        "to_world": place().look_at(origin=eye["position"], target=eye["target"], up=eye["up"]),
        "film": {"type": "hdrfilm", "width": eye["width"], "height": eye["height"], "rfilter": {"type": "box"}, "pixel_format": "luminance"},
        "sampler": {"type": "independent"},
    }
    # A piecewise linear table is a sum of spots, each even and then falling linearly in angle.
    spots = []
    for light in told["lights"]:
        table = light["table"]
        for (a, i), (b, j) in zip(table, table[1:]):
            if i > j:
                spots.append({
                    "type": "spot", "intensity": {"type": "rgb", "value": float(i - j)},
                    "beam_width": max(float(a), 1e-3), "cutoff_angle": float(b),
                    "to_world": place().look_at(origin=light["position"], target=light["target"], up=[0, 1, 0.1]),
                })
    scenes = [mi.load_dict({**world, "spot": spot}) for spot in spots]
    for made in scenes:
        np.array(mi.render(made, spp=1, seed=0))
    for samples in (1, 4, 16):
        wall, before = time.perf_counter(), resource.getrusage(resource.RUSAGE_SELF)
        picture = sum(np.array(mi.render(made, spp=samples, seed=7 + k)) for k, made in enumerate(scenes))
        after = resource.getrusage(resource.RUSAGE_SELF)
        processor = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        error = float(np.sqrt(np.mean((picture.reshape(-1) - ours) ** 2)))
        print(f"scene {samples} {time.perf_counter() - wall:.3f} {processor:.3f} {error:.6f} {float(picture.mean()):.6f}")


if __name__ == "__main__":
    {"rays": rays, "scene": scene}[sys.argv[1]](*sys.argv[2:])
