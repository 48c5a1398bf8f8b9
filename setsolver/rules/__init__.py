"""The rules of a brief: each becomes one term of the problem and one kind of line in the ledger."""

from setsolver.rules.assemble import assemble
from setsolver.rules.assembly import Assembly
from setsolver.rules.ledger import ledger
from setsolver.rules.tone import correction

__all__ = ["Assembly", "assemble", "correction", "ledger"]
