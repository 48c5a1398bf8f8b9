"""The [weights] of a brief in points, and the [rules] that other packages bring."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, ConfigDict, Field

from setsolver.domain.document import Part

__all__ = ["Points", "Rules", "Weights"]

Points = Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)]


class Weights(Part):
    """Points that a frame can earn (appeal to role), and that the set can earn (variety) or lose (the rest).

    Defaults are the weights of the default taste; a brief read from a file takes those of the taste that it names.

    variety : for each frame, so many points a unit of mean squared distance to the others (0 = same, 2 = unrelated).
    mono : points lost by a black-and-white frame among colour ones, or the reverse.
    content, light, palette, time : points lost for each unit beyond the slack by which a frame lies off the set: of the
    catalog's own spread, of L*, of a*b*, of doublings of an hour.
    tone : points lost for one unit of effort, L* or a*b*, beyond the slack.

    Further keys are weights of terms that other packages bring; whether there is such a term is told where the brief
    is loaded, for the model knows no terms.
    """

    model_config = ConfigDict(extra="allow")
    __pydantic_extra__: dict[str, Points] = Field(init=False)

    appeal: Points = 100
    solid: Points = 0
    people: Points = 10
    doing: Points = 15
    picked: Points = 0
    kept: Points = 5
    composition: Points = 20
    borders: Points = 17
    rating: Points = 15
    quality: Points = 6
    role: Points = 5
    variety: Points = 0
    mono: Points = 25
    content: Points = 35
    light: Points = 0.12
    palette: Points = 0.04
    time: Points = 0.1
    tone: Points = 0.05

    @property
    def further(self) -> dict[str, float]:
        """Weights of terms that other packages bring, by key."""
        return dict(self.__pydantic_extra__)

    def of(self, name: str) -> float:
        """Return the weight of a key; 0 for a further one that the brief does not give."""
        return float(getattr(self, name, 0.0))


MOST_PLAIN = 300


def _plain(value: Any) -> Any:
    if isinstance(value, bool | int | float | str) and len(str(value)) <= MOST_PLAIN and value == value:  # noqa: PLR0124 - nan
        return value
    raise ValueError("neither a number nor a text, true or false")


Plain = Annotated[Any, BeforeValidator(_plain), Field(description=f"a number, a text of at most {MOST_PLAIN}, or true")]


class Rules(Part):
    """Keys of hard rules that other packages bring: a number, a text, true or false each.

    Which there are, and what each may be, is told where the brief is loaded, for the model knows no terms.
    """

    model_config = ConfigDict(extra="allow")
    __pydantic_extra__: dict[str, Plain] = Field(init=False)

    @property
    def given(self) -> dict[str, bool | float | str]:
        """The keys that the brief gives, with their values."""
        return dict(self.__pydantic_extra__)
