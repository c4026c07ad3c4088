"""Tests of the real command, its JupyterLab and a page of it."""
