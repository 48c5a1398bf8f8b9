"""From choices to weights."""
