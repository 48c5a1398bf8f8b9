"""What leaves the tool: pages, pictures, documents."""
