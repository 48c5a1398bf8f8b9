"""A short way to write shader node trees."""

from typing import Any

import bpy

from demo_catalog.make.kinds import Colour, Material, Numbers, Socket, Value


class Nodes:
    """A material's node tree, one method for each kind of node that the shoot needs.

    Every method returns an output socket, so that calls nest like arithmetic.
    """

    def __init__(self, name: str) -> None:
        self.material = bpy.data.materials.new(name)
        self.material.use_nodes = True
        self.tree = self.material.node_tree
        self.tree.nodes.clear()

    def add(self, kind: str, inputs: dict | None = None, **settings: Any) -> bpy.types.Node:
        """Add a node, set its attributes, then link or fill its inputs by name or number."""
        node = self.tree.nodes.new(kind)
        for key, value in settings.items():
            setattr(node, key, value)
        for key, value in (inputs or {}).items():
            self.feed(node.inputs[key], value)
        return node

    def feed(self, socket: Socket, value: Value) -> None:
        """Link a socket to an output, or give it a constant (RGB gets its alpha)."""
        if isinstance(value, bpy.types.NodeSocket):
            self.tree.links.new(value, socket)
        elif socket.type == "RGBA":
            socket.default_value = (*value, 1.0)
        else:
            socket.default_value = value

    def place(self, stretch: Colour = (1.0, 1.0, 1.0), *, vary: bool = True) -> Socket:
        """Object coordinates, stretched, moved by a random amount for each instance."""
        point = self.add("ShaderNodeTexCoord").outputs["Object"]
        if vary:
            shift = self.math("MULTIPLY", self.add("ShaderNodeObjectInfo").outputs["Random"], 37.0)
            point = self.add("ShaderNodeVectorMath", {0: point, 1: shift}, operation="ADD").outputs[0]
        return self.add("ShaderNodeVectorMath", {0: point, 1: stretch}, operation="MULTIPLY").outputs[0]

    def anywhere(self) -> Socket:
        """Coordinates of the whole set, in metres."""
        return self.add("ShaderNodeNewGeometry").outputs["Position"]

    def noise(self, point: Socket, scale: float, detail: float = 4.0, distortion: float = 0.0) -> Socket:
        """Fractal noise between about 0.3 and 0.7."""
        inputs = {"Vector": point, "Scale": scale, "Detail": detail, "Distortion": distortion}
        return self.add("ShaderNodeTexNoise", inputs).outputs[0]

    def math(self, operation: str, first: Value, second: Value = 0.0) -> Socket:
        """Scalar arithmetic."""
        return self.add("ShaderNodeMath", {0: first, 1: second}, operation=operation).outputs[0]

    def spread(self, value: Value, low: float, high: float, to: Numbers = (0.0, 1.0)) -> Socket:
        """Map low..high to to[0]..to[1], clamped."""
        inputs = {"Value": value, "From Min": low, "From Max": high, "To Min": to[0], "To Max": to[1]}
        return self.add("ShaderNodeMapRange", inputs).outputs[0]

    def blend(self, share: Value, first: Value, second: Value) -> Socket:
        """Mix two colours; share 0 gives the first."""
        node = self.add("ShaderNodeMix", data_type="RGBA")
        for index, value in ((0, share), (6, first), (7, second)):
            self.feed(node.inputs[index], value)
        return node.outputs[2]

    def shade(self, value: Value, gain: Value) -> Socket:
        """Scale a colour by a number (brightness variation)."""
        return self.add("ShaderNodeVectorMath", {0: value, "Scale": gain}, operation="SCALE").outputs[0]

    def bump(self, height: Socket, metres: float, strength: float = 1.0, normal: Socket | None = None) -> Socket:
        """A bumped normal; `metres` is what a height of 1 stands for."""
        inputs = {"Height": height, "Distance": metres, "Strength": strength}
        if normal is not None:
            inputs["Normal"] = normal
        return self.add("ShaderNodeBump", inputs).outputs[0]

    def principled(self, colour: Value, roughness: Value, normal: Socket | None = None, **inputs: Value) -> Socket:
        """The surface shader; extra inputs with underscores for spaces."""
        fed = {"Base Color": colour, "Roughness": roughness}
        if normal is not None:
            fed["Normal"] = normal
        fed |= {key.replace("_", " "): value for key, value in inputs.items()}
        return self.add("ShaderNodeBsdfPrincipled", fed).outputs[0]

    def finish(self, shader: Socket, plain: Colour | None = None) -> Material:
        """Set the surface and return the material.

        `plain` is what light sees that has bounced already: a flat colour costs a tenth of the
        time, and nobody can tell it in a bounce.
        """
        if plain is not None:
            seen = self.add("ShaderNodeLightPath").outputs["Is Camera Ray"]
            flat = self.add("ShaderNodeBsdfDiffuse", {"Color": plain}).outputs[0]
            shader = self.add("ShaderNodeMixShader", {0: seen, 1: flat, 2: shader}).outputs[0]
        self.add("ShaderNodeOutputMaterial", {"Surface": shader})
        return self.material


def between(first: Colour, second: Colour) -> Colour:
    """The colour half-way."""
    return tuple((a + b) / 2 for a, b in zip(first, second, strict=True))
