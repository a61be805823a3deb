"""What this library writes, known again: manifests of folders, stamps in single files."""
