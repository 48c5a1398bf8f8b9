"""What every act of a page is: a record of which nothing is understood but what it says."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

__all__ = ["Act", "Key", "Stars"]

Stars = Annotated[int, Field(ge=0, le=5)] | None
Key = Annotated[str, Field(pattern=r"^[0-9a-f]{16}$")]
"""By which the board names a frame, a version or a client (``rows.key_of``)."""


class Act(BaseModel):
    """One thing to do. token : chosen by the page, of no other act; by it this one can be stopped."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    token: Key | None = None
