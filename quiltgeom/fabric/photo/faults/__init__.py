"""What hurts a photo of cloth."""
