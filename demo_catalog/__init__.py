"""The demo catalog and what it was made with."""
