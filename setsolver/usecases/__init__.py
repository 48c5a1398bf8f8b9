"""What a person can ask for, one file each; ties the layers below together."""
