"""Axisymmetric elastoplastic finite elements of a coated disc, as a reference for the laminate.

Development only (scikit-fem).  A round metal disc with an elastic coat on its front shrinks in even
increments; the metal follows J2 plasticity with linear isotropic hardening by radial return with
the consistent tangent (Simo & Hughes 1998, box 3.2, from memory).  Biquadratic quadrilaterals, nine
points each; the free rim is really free, so the figure to compare is the curvature of the inner
half, where no plate assumption is made either.
"""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np
from scipy.sparse.linalg import splu
from skfem import Basis, BilinearForm, ElementQuad2, ElementVector, LinearForm, MeshQuad

DEV = np.eye(4) - np.outer([1, 1, 1, 0], [1, 1, 1, 0]) / 3
UNIT = np.array([1.0, 1.0, 1.0, 0.0])
TOLERANCE = 1e-7
"""Residual force left, as a share of the first of the step."""


@dataclass(frozen=True)
class Bilayer:
    """A disc of one metal with one coat on its front; SI."""

    metal_thickness: float = 0.8e-3
    coat_thickness: float = 0.3e-3
    radius: float = 12.5e-3
    metal_young: float = 117e9
    metal_poisson: float = 0.34
    coat_young: float = 70e9
    coat_poisson: float = 0.22
    yield_stress: float = 48e6
    hardening: float = 1200e6
    shrink: float = 4e-3
    """Strain by which the metal wants to become shorter than the coat."""


@dataclass(frozen=True)
class Answer:
    """Curvature of the inner half [1/m], bow of the whole [m], unknowns, seconds."""

    curvature: float
    bow: float
    unknowns: int
    seconds: float
    iterations: int
    residual: float


def _isotropic(young: float, poisson: float) -> tuple[float, float]:
    return young / (3 * (1 - 2 * poisson)), young / (2 * (1 + poisson))


def solve_bilayer(case: Bilayer, radial: int, metal: int, coat: int, steps: int) -> Answer:
    """Solve a disc with ``radial`` x (``metal`` + ``coat``) elements in ``steps`` increments."""
    begun = time.perf_counter()
    r = np.linspace(0, case.radius, radial + 1)
    z = np.concatenate(
        [
            np.linspace(-case.metal_thickness, 0, metal + 1),
            np.linspace(0, case.coat_thickness, coat + 1)[1:],
        ]
    )
    mesh = MeshQuad.init_tensor(r, z)
    basis = Basis(mesh, ElementVector(ElementQuad2()), intorder=4)
    x = np.asarray(basis.global_coordinates())
    radius, height = x[0], x[1]
    shape = radius.shape
    in_metal = (height < 0)[np.newaxis]
    bulk_m, shear_m = _isotropic(case.metal_young, case.metal_poisson)
    bulk_c, shear_c = _isotropic(case.coat_young, case.coat_poisson)
    bulk = np.where(in_metal[0], bulk_m, bulk_c)
    shear = np.where(in_metal[0], shear_m, shear_c)
    elastic = (
        bulk * np.einsum("i,j->ij", UNIT, UNIT)[:, :, None, None]
        + 2 * shear * (DEV * np.array([1, 1, 1, 0.5]))[:, :, None, None]
    )

    def strain(u):
        """(rr, tt, zz, 2 rz) of a vector field at the quadrature points."""
        g = u.grad
        return np.stack([g[0, 0], u[0] / radius, g[1, 1], g[0, 1] + g[1, 0]])

    @BilinearForm
    def stiffness(u, v, w):
        return np.einsum("i...,ij...,j...->...", strain(v), w.c, strain(u)) * radius

    @LinearForm
    def internal(v, w):
        return np.einsum("i...,i...->...", strain(v), w.s) * radius

    fixed = np.concatenate(
        [
            basis.get_dofs(lambda p: np.isclose(p[0], 0)).all(["u^1"]),
            basis.get_dofs(lambda p: np.isclose(p[0], 0) & np.isclose(p[1], z[0])).all(["u^2"]),
        ]
    )
    free = np.setdiff1d(np.arange(basis.N), fixed)
    u = np.zeros(basis.N)
    plastic = np.zeros((4, *shape))  # engineering shear in the last row
    hard = np.zeros(shape)
    iterations, residual = 0, 0.0
    norm_factor = np.array([1.0, 1.0, 1.0, 2.0])[:, None, None]

    def respond(trial, thermal):
        """Return-map every point; residual, tangent, plastic increments."""
        e = strain(basis.interpolate(trial)) - thermal - plastic
        s = np.einsum("ij...,j...->i...", elastic, e)
        dev = s - s[:3].mean(axis=0) * UNIT[:, None, None]
        norm = np.sqrt((norm_factor * dev**2).sum(axis=0))
        over = norm - np.sqrt(2 / 3) * (case.yield_stress + case.hardening * hard)
        flows = in_metal[0] & (over > 0)
        safe = np.where(norm > 0, norm, 1.0)
        gamma = np.where(flows, over / (2 * shear + 2 * case.hardening / 3), 0.0)
        n = dev / safe
        theta = np.where(flows, 2 * shear * gamma / safe, 0.0)
        bar = np.where(flows, 1 / (1 + case.hardening / (3 * shear)) - theta, 0.0)
        f = internal.assemble(basis, s=s - 2 * shear * gamma * n)
        return f[free], (theta, bar, n), gamma

    for step in range(1, steps + 1):
        thermal = np.where(in_metal, -case.shrink * step / steps, 0.0) * UNIT[:, None, None]
        f, parts, gamma = respond(u, thermal)
        scale = float(np.abs(f).max())
        for _ in range(40):
            theta, bar, n = parts
            soft = (DEV * np.array([1, 1, 1, 0.5]))[:, :, None, None] * theta
            tangent = elastic - 2 * shear * (soft + bar * np.einsum("i...,j...->ij...", n, n))
            k = stiffness.assemble(basis, c=tangent).tocsc()
            change = np.zeros(basis.N)
            change[free] = -splu(k[free][:, free]).solve(f)
            slope, share = float(f @ change[free]), 1.0
            for _ in range(10):
                f, parts, gamma = respond(u + share * change, thermal)
                if abs(float(f @ change[free])) <= 0.8 * abs(slope):
                    break
                share /= 2
            u = u + share * change
            iterations += 1
            residual = float(np.abs(f).max()) / scale
            if residual < TOLERANCE:
                break
        else:
            raise RuntimeError("the elements did not converge")
        plastic = plastic + gamma * parts[2] * norm_factor
        hard = hard + np.sqrt(2 / 3) * gamma

    line = basis.get_dofs(lambda p: np.isclose(p[1], 0)).all(["u^2"])
    at, w = basis.doflocs[0, line], u[line]
    order = np.argsort(at)
    at, w = at[order], w[order]
    inner = at <= case.radius / 2
    curvature = -2 * np.polyfit(at[inner] ** 2, w[inner], 1)[0]
    return Answer(
        float(curvature), float(w[0] - w[-1]), int(basis.N),
        time.perf_counter() - begun, iterations, residual,
    )  # fmt: skip
