"""Printed documents: drawings on sheets of paper with a frame and a title block, as PDF."""
