"""Base of the records that are written as JSON, and of the parts of a brief that are read from TOML."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

__all__ = ["Document", "Part"]


class Document(BaseModel):
    """Base of what is written: unknown keys are refused, so that a typo in a hand-made document is told."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Part(BaseModel):
    """Base of every part of a brief: unknown keys are errors, a text is not a number, values do not change."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)
