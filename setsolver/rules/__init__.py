"""The rules of a brief: each becomes one term of the problem and one kind of line in the ledger."""
