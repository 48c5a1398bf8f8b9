"""Short names for the types that the making scripts pass round."""

from collections.abc import Sequence

import bpy
import numpy as np

Colour = tuple[float, float, float]
Material = bpy.types.Material
Mesh = bpy.types.Mesh
Thing = bpy.types.Object
Socket = bpy.types.NodeSocket
Value = Socket | float | Sequence[float]
Numbers = Sequence[float] | np.ndarray
Points = Sequence[Sequence[float]] | np.ndarray
Rng = np.random.Generator
