"""An empty stage, the light on it, and the camera."""

import math
from typing import Any

import bpy
from mathutils import Quaternion, Vector

from demo_catalog.make.kinds import Colour, Numbers, Thing
from demo_catalog.make.shot import Shot

from . import glazes, materials

SENSOR = 36.0  # millimetres along the long side of the frame


def clear() -> None:
    """Start from nothing; forget the materials of the set before."""
    bpy.ops.wm.read_factory_settings(use_empty=True)
    for maker in (materials.earthy, materials.wood, materials.leaf, materials.metal, materials.glow, glazes.glazed):
        maker.cache_clear()


def sky(elevation: float, azimuth: float, dust: float = 0.12, strength: float = 1.0) -> None:
    """Sun and clear sky; degrees above the horizon, and degrees clockwise from +y."""
    tree = _world()
    node = tree.nodes.new("ShaderNodeTexSky")
    node.sky_type, node.sun_disc = "NISHITA", True
    node.sun_elevation, node.sun_rotation = math.radians(elevation), math.radians(azimuth)
    node.dust_density, node.ozone_density, node.altitude = dust, 1.0, 300.0
    tree.links.new(node.outputs[0], tree.nodes["Background"].inputs[0])
    tree.nodes["Background"].inputs[1].default_value = strength


def dusk(low: Colour, high: Colour, strength: float) -> None:
    """A clear sky after sunset: one colour at the horizon, another overhead."""
    tree = _world()
    point = tree.nodes.new("ShaderNodeTexCoord").outputs["Generated"]
    height = tree.nodes.new("ShaderNodeSeparateXYZ")
    ramp = tree.nodes.new("ShaderNodeValToRGB")
    ramp.color_ramp.elements[0].color, ramp.color_ramp.elements[1].color = (*low, 1.0), (*high, 1.0)
    ramp.color_ramp.elements[0].position, ramp.color_ramp.elements[1].position = 0.02, 0.45
    tree.links.new(point, height.inputs[0])
    tree.links.new(height.outputs[2], ramp.inputs[0])
    tree.links.new(ramp.outputs[0], tree.nodes["Background"].inputs[0])
    tree.nodes["Background"].inputs[1].default_value = strength


def _world() -> bpy.types.NodeTree:
    world = bpy.data.worlds.get("sky") or bpy.data.worlds.new("sky")
    bpy.context.scene.world = world
    world.use_nodes = True
    for node in [node for node in world.node_tree.nodes if node.type in {"TEX_SKY", "TEX_COORD", "SEPXYZ", "VALTORGB"}]:
        world.node_tree.nodes.remove(node)
    return world.node_tree


def lamp(
    kind: str, at: Numbers, toward: Numbers, power: float, colour: Colour = (1.0, 1.0, 1.0), **settings: Any
) -> Thing:
    """A light of Blender's kind AREA, POINT, SUN or SPOT at a place, facing a point."""
    data = bpy.data.lights.new(kind.lower(), kind)
    data.energy, data.color = power, colour
    for key, value in settings.items():
        setattr(data, key, value)
    light = bpy.data.objects.new(kind.lower(), data)
    light.location = at
    light.rotation_euler = (Vector(toward) - Vector(at)).to_track_quat("-Z", "Y").to_euler()
    light.visible_camera = False
    bpy.context.scene.collection.objects.link(light)
    return light


def aim(shot: Shot) -> None:
    """Set up the camera of a shot: place, direction, roll, lens, aperture, focus, orientation."""
    scene = bpy.context.scene
    if scene.camera is None:
        scene.camera = bpy.data.objects.new("camera", bpy.data.cameras.new("camera"))
        scene.collection.objects.link(scene.camera)
    view, camera = scene.camera, scene.camera.data
    ahead = Vector(shot.target) - Vector(shot.eye)
    level = ahead.to_track_quat("-Z", "Y")
    turn = level @ Vector((0, 0, 1))
    view.location = shot.eye
    view.rotation_mode = "QUATERNION"
    view.rotation_quaternion = Quaternion(turn, math.radians(shot.roll)) @ level
    camera.sensor_fit, camera.sensor_width, camera.lens = "AUTO", SENSOR, shot.focal
    camera.clip_start, camera.clip_end = 0.01, 400_000.0
    camera.dof.use_dof, camera.dof.aperture_fstop = True, shot.f_number
    camera.dof.focus_distance, camera.dof.aperture_blades = shot.focus_distance(), 7
