"""``python -m enamelwright.physics``: compile the kernels once and keep them on disk."""

from enamelwright.physics import laminate, landing, piece_heating

if __name__ == "__main__":
    laminate.warm()
    piece_heating.warm()
    landing.warm()
