"""``python -m enamelwright.physics``: compile the kernels once and keep them on disk."""

from enamelwright.physics.laminate import warm

if __name__ == "__main__":
    warm()
