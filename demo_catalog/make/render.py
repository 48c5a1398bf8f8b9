"""Render one shot to a linear half-float file. One process renders one shot: see `batch`."""

from pathlib import Path

import bpy
import numpy as np

from demo_catalog.make.lights import set_light
from demo_catalog.make.places import kiln, outdoors, workshop
from demo_catalog.make.shot import Shot

from . import stage

PLACES = {"hillside": outdoors.build, "workshop": workshop.build, "kiln": kiln.build}


def render_shot(shot: Shot, built: str, target: Path) -> None:
    """Build the set `built` from nothing and render the shot to `target` (.npy).

    What comes out hangs on the shot alone: Cycles that keeps its data between shots keeps the
    pattern of its samples too, and a shot of 4 samples after one of 5 gets other noise than alone.
    """
    stage.clear()
    PLACES[built]()
    _engine()
    _render(shot, target)


def _engine() -> None:
    """Cycles on the processor, few bounces, denoised with albedo and normals; nothing kept, nothing by chance."""
    scene = bpy.context.scene
    scene.render.engine = "CYCLES"
    cycles = scene.cycles
    cycles.device, cycles.seed, cycles.use_denoising = "CPU", 7, True
    cycles.denoiser, cycles.denoising_input_passes = "OPENIMAGEDENOISE", "RGB_ALBEDO_NORMAL"
    cycles.denoising_prefilter, cycles.denoising_quality = "FAST", "BALANCED"
    cycles.use_adaptive_sampling = cycles.use_animated_seed = False
    cycles.max_bounces, cycles.diffuse_bounces, cycles.glossy_bounces = 5, 3, 3
    cycles.transmission_bounces, cycles.sample_clamp_indirect = 2, 8.0
    cycles.caustics_reflective = cycles.caustics_refractive = False
    cycles.blur_glossy = 1.0
    cycles.use_light_tree = False
    scene.render.use_persistent_data = False
    scene.render.image_settings.file_format = "OPEN_EXR"
    scene.render.image_settings.color_depth = "16"
    scene.view_settings.view_transform = "Raw"


def _render(shot: Shot, target: Path) -> None:
    scene = bpy.context.scene
    set_light(shot.light)
    stage.aim(shot)
    scene.cycles.samples = shot.samples
    scene.render.resolution_x, scene.render.resolution_y = shot.pixels()
    scene.render.resolution_percentage = 100
    scene.render.filepath = str(target.with_suffix(".exr"))
    bpy.ops.render.render(write_still=True)
    _to_numpy(target)


def _to_numpy(target: Path) -> None:
    """Turn the EXR into a .npy of shape (rows, columns, 3), float16, linear sRGB."""
    exr = target.with_suffix(".exr")
    picture = bpy.data.images.load(str(exr))
    picture.colorspace_settings.name = "Non-Color"
    columns, rows = picture.size
    values = np.empty(rows * columns * 4, dtype=np.float32)
    picture.pixels.foreach_get(values)
    bpy.data.images.remove(picture)
    linear = values.reshape(rows, columns, 4)[::-1, :, :3]
    partial = target.with_suffix(".part.npy")
    np.save(partial, np.minimum(linear, 60000).astype(np.float16))
    partial.rename(target)
    exr.unlink()
