"""Files to rows: reading, metadata, the index, grouping."""
