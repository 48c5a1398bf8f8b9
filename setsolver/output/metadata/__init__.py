"""XMP packets (ISO 16684-1) for prints and for sidecars of originals, in open namespaces and one of our own."""

from setsolver.output.metadata.packet import Unmergeable
from setsolver.output.metadata.prints import Kept, Said, print_packet
from setsolver.output.metadata.region import Corner, stored_corners
from setsolver.output.metadata.sidecar import sidecar

__all__ = ["Corner", "Kept", "Said", "Unmergeable", "print_packet", "sidecar", "stored_corners"]
