"""Sheets of pictures and text for people, built from scenes."""
