"""Base of the records that are written as JSON, and of the parts of a brief that are read from TOML."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

__all__ = ["Document", "Part"]


class Document(BaseModel):
    """Base of what is written: unknown keys are refused, so that a typo in a hand-made document is told.

    So are numbers that are none: JSON has no word for them (RFC 8259, section 6).
    """

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class Part(BaseModel):
    """Base of every part of a brief: unknown keys are errors, a text is not a number, values do not change."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)
