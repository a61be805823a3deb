"""The nouns: patch, block, piece, quilt, fabric, pattern, design. Frozen and cheap."""
