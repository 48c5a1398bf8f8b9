"""Meshes made from numbers, and objects placed from them. Lengths in metres, angles in radians."""

import math

import bmesh
import bpy
import numpy as np

from demo_catalog.make.kinds import Material, Mesh, Numbers, Points, Rng, Thing


def mesh_from(name: str, points: Points, faces: Points, material: Material, *, smooth: bool = True) -> Mesh:
    """A mesh with one material."""
    mesh = bpy.data.meshes.new(name)
    mesh.from_pydata([tuple(map(float, point)) for point in points], [], [tuple(map(int, face)) for face in faces])
    mesh.materials.append(material)
    mesh.shade_smooth() if smooth else mesh.shade_flat()
    return mesh


def put(
    mesh: Mesh, at: Numbers = (0.0, 0.0, 0.0), turn: Numbers = (0.0, 0.0, 0.0), scale: Numbers | float = 1.0
) -> Thing:
    """Place an object that shares `mesh`."""
    thing = bpy.data.objects.new(mesh.name, mesh)
    thing.location, thing.rotation_euler = at, turn
    thing.scale = (scale,) * 3 if isinstance(scale, int | float) else scale
    bpy.context.scene.collection.objects.link(thing)
    return thing


def box(name: str, size: Numbers, material: Material, bevel: float = 0.004) -> Mesh:
    """A box centred on the origin with rounded edges."""
    work = bmesh.new()
    bmesh.ops.create_cube(work, size=1.0)
    bmesh.ops.scale(work, vec=size, verts=work.verts)
    if bevel:
        bmesh.ops.bevel(work, geom=work.edges[:], offset=bevel, segments=2, affect="EDGES", profile=0.6)
    mesh = bpy.data.meshes.new(name)
    work.to_mesh(mesh)
    work.free()
    mesh.materials.append(material)
    mesh.shade_flat()
    return mesh


def lathe(
    name: str, profile: Points, material: Material, *, segments: int = 72, wobble: float = 0.004, phase: float = 0.0
) -> Mesh:
    """Turn a profile of (radius, height) pairs round the z axis, with the wobble of a hand."""
    profile = np.asarray(profile, dtype=float)
    angle = np.linspace(0.0, 2 * math.pi, segments, endpoint=False)
    swing = 1 + wobble * np.sin(2 * angle + phase) + wobble * 0.6 * np.sin(3 * angle + 2 * phase)
    radius = profile[:, None, 0] * swing
    height = np.broadcast_to(profile[:, None, 1], radius.shape)
    points = np.stack([radius * np.cos(angle), radius * np.sin(angle), height], axis=-1)
    return mesh_from(name, points.reshape(-1, 3), _quads(*radius.shape, closed=True), material)


def grid(
    name: str, x: np.ndarray, y: np.ndarray, height: np.ndarray, material: Material, *, closed: bool = False
) -> Mesh:
    """A height field over arrays x, y, z of one shape (rows, columns)."""
    points = np.stack([x, y, height], axis=-1)
    return mesh_from(name, points.reshape(-1, 3), _quads(*x.shape, closed=closed), material)


def _quads(rows: int, columns: int, *, closed: bool) -> np.ndarray:
    """Faces between neighbouring rows and columns; `closed` joins the last column to the first."""
    row, column = np.meshgrid(np.arange(rows - 1), np.arange(columns if closed else columns - 1), indexing="ij")
    nxt = (column + 1) % columns
    corners = [row * columns + column, row * columns + nxt, (row + 1) * columns + nxt, (row + 1) * columns + column]
    return np.stack(corners, axis=-1).reshape(-1, 4)


def tube(name: str, path: Points, radii: Numbers, material: Material, *, segments: int = 16) -> Mesh:
    """A round tube along a path of points, `radii` one number a point."""
    path = np.asarray(path, dtype=float)
    ahead = np.gradient(path, axis=0)
    ahead /= np.linalg.norm(ahead, axis=1, keepdims=True)
    side = np.cross(ahead, (0.31, 0.17, 0.93))
    side /= np.linalg.norm(side, axis=1, keepdims=True)
    other = np.cross(ahead, side)
    angle = np.linspace(0.0, 2 * math.pi, segments, endpoint=False)[None, :, None]
    ring = np.cos(angle) * side[:, None] + np.sin(angle) * other[:, None]
    points = path[:, None] + ring * np.broadcast_to(radii, len(path))[:, None, None]
    faces = [tuple(face) for face in _quads(len(path), segments, closed=True)]
    faces += [tuple(range(segments))[::-1], tuple(range((len(path) - 1) * segments, len(path) * segments))]
    return mesh_from(name, points.reshape(-1, 3), faces, material)


def lump(
    name: str, rng: Rng, material: Material, *, rough: float = 0.25, squash: Numbers = (1.0, 1.0, 1.0), detail: int = 3
) -> Mesh:
    """A stone, a lump of clay or a far tree: a sphere of radius 1 pushed in and out."""
    work = bmesh.new()
    bmesh.ops.create_icosphere(work, subdivisions=detail, radius=1.0)
    waves = [(rng.normal(size=3) * pitch, rng.uniform(0, 6.3), rough / pitch) for pitch in (1.2, 1.7, 2.4, 4.0, 6.5)]
    for vertex in work.verts:
        push = 1 + sum(size * math.sin(float(np.dot(way, vertex.co)) + phase) for way, phase, size in waves)
        vertex.co = [coordinate * push * factor for coordinate, factor in zip(vertex.co, squash, strict=True)]
    mesh = bpy.data.meshes.new(name)
    work.to_mesh(mesh)
    work.free()
    mesh.materials.append(material)
    mesh.shade_smooth()
    return mesh
