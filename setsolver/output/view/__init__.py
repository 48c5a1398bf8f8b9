"""What a proof sheet shows, as plain data: built from the outcome, before any markup or drawing."""
