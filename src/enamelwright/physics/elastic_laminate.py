"""Elastic stack of thin layers: closed-form curvature, stress and stored energy.

Every layer carries an equal stress in both in-plane directions, so a layer of Young's modulus
``E`` and Poisson's ratio ``nu`` acts with the biaxial modulus ``B = E / (1 - nu)``.  The height
``z`` runs from back to front; tension and a convex front are positive.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class ElasticState:
    """Deformation and face stresses of a batch of elastic stacks.

    Attributes
    ----------
    strain : ndarray, shape (...)
        In-plane strain at the middle plane of the complete stack.
    curvature : ndarray, shape (...)
        Curvature [1/m]; positive when the front is convex.
    back_stress, front_stress : ndarray, shape (..., n_layer)
        Stress at the lower and the upper face of each layer [Pa], tension positive.
    """

    strain: Array
    curvature: Array
    back_stress: Array
    front_stress: Array


@dataclass(frozen=True, eq=False)
class SectionStiffness:
    """Stretching, coupling and bending stiffness of a section about a reference height.

    Attributes
    ----------
    stretch : ndarray, shape (...)
        Integral of B over the height [N/m].
    coupling : ndarray, shape (...)
        Integral of B z [N].
    bend : ndarray, shape (...)
        Integral of B z^2 [N m].
    """

    stretch: Array
    coupling: Array
    bend: Array

    def compliance_energy(self, force: Array, moment: Array) -> Array:
        """Energy that an elastic section gives up when a force and a moment are let go.

        The quadratic form ``(N, M) K^-1 (N, M)`` with K this stiffness.

        Parameters
        ----------
        force, moment : ndarray, shape (...)
            Resultants of the stress over the section [N/m], [N].

        Returns
        -------
        ndarray, shape (...)
            Energy per area [J/m^2], never negative; zero for a section without stiffness.
        """
        determinant = self.stretch * self.bend - self.coupling**2
        top = force**2 * self.bend - 2 * force * moment * self.coupling + moment**2 * self.stretch
        empty = determinant <= 0
        return np.where(empty, 0.0, top / np.where(empty, 1.0, determinant))


def biaxial_modulus(young: npt.ArrayLike, poisson: npt.ArrayLike) -> Array:
    """Modulus between equal biaxial stress and strain, ``E / (1 - nu)`` [Pa].

    Parameters
    ----------
    young : array_like
        Young's modulus [Pa].
    poisson : array_like
        Poisson's ratio, between 0 and 0.5.

    Returns
    -------
    ndarray
        Biaxial modulus [Pa].
    """
    return np.asarray(young, dtype=np.float64) / (1 - np.asarray(poisson, dtype=np.float64))


def layer_faces(thickness: npt.ArrayLike) -> tuple[Array, Array]:
    """Heights of the lower and upper face of each layer from the middle of the stack [m].

    Parameters
    ----------
    thickness : array_like, shape (..., n_layer)
        Layer thickness [m] from back to front; zero is allowed.

    Returns
    -------
    tuple of ndarray, shape (..., n_layer)
        Lower and upper heights [m]. Measuring from the middle keeps the sums well conditioned.
    """
    thickness = np.asarray(thickness, dtype=np.float64)
    upper = np.cumsum(thickness, axis=-1) - thickness.sum(axis=-1, keepdims=True) / 2
    return upper - thickness, upper


def section_stiffness(modulus: npt.ArrayLike, lower: Array, upper: Array) -> SectionStiffness:
    """Stiffness of the layers between the given heights.

    Parameters
    ----------
    modulus : array_like, shape (..., n_layer)
        Biaxial modulus [Pa]; zero leaves a layer out.
    lower, upper : ndarray, shape (..., n_layer)
        Heights of the layer faces [m].

    Returns
    -------
    SectionStiffness
    """
    modulus = np.asarray(modulus, dtype=np.float64)
    return SectionStiffness(
        (modulus * (upper - lower)).sum(axis=-1),
        (modulus * (upper**2 - lower**2)).sum(axis=-1) / 2,
        (modulus * (upper**3 - lower**3)).sum(axis=-1) / 3,
    )


def solve_elastic(thickness: npt.ArrayLike, modulus: npt.ArrayLike, free_strain: npt.ArrayLike) -> ElasticState:
    """Deform a free elastic stack whose layers want different strains.

    Exact for plates of any thickness ratio as long as the deflection stays below about a third
    of the thickness; it ignores the free rim and any yielding, so for a soft metal it serves only
    as a limit and an oracle.

    Parameters
    ----------
    thickness : array_like, shape (..., n_layer)
        Layer thickness from back to front [m].
    modulus : array_like, shape (..., n_layer)
        Biaxial modulus [Pa].
    free_strain : array_like, shape (..., n_layer)
        Strain each layer would take on its own; negative on cooling.

    Returns
    -------
    ElasticState

    Notes
    -----
    Source: classical plate theory; Townsend, Barnett & Brunner, J. Appl. Phys. 62 (1987) 4438
    (from memory).  Checked against Timoshenko 1925 and Hsueh 2002 in tests/published.
    """
    modulus = np.asarray(modulus, dtype=np.float64)
    free_strain = np.asarray(free_strain, dtype=np.float64)
    lower, upper = layer_faces(thickness)
    stiffness = section_stiffness(modulus, lower, upper)
    load = section_stiffness(modulus * free_strain, lower, upper)
    force, moment = load.stretch, load.coupling
    determinant = stiffness.stretch * stiffness.bend - stiffness.coupling**2
    strain = (force * stiffness.bend - moment * stiffness.coupling) / determinant
    curvature = (stiffness.stretch * moment - stiffness.coupling * force) / determinant
    offset = strain[..., np.newaxis] - free_strain
    bend = curvature[..., np.newaxis]
    return ElasticState(
        strain,
        curvature,
        modulus * (offset + bend * lower),
        modulus * (offset + bend * upper),
    )


def stored_energy(thickness: npt.ArrayLike, modulus: npt.ArrayLike, back_stress: Array, front_stress: Array) -> Array:
    """Elastic energy per area of layers with linear stress, ``sum t (a^2 + ab + b^2) / (3 B)``.

    Parameters
    ----------
    thickness, modulus : array_like, shape (..., n_layer)
        Thickness [m] and biaxial modulus [Pa].
    back_stress, front_stress : ndarray, shape (..., n_layer)
        Face stresses [Pa].

    Returns
    -------
    ndarray, shape (...)
        Energy [J/m^2].
    """
    square = (back_stress**2 + back_stress * front_stress + front_stress**2) / 3
    return np.asarray((np.asarray(thickness) * square / np.asarray(modulus)).sum(axis=-1), dtype=np.float64)


def release_energy(
    thickness: npt.ArrayLike,
    modulus: npt.ArrayLike,
    mean_stress: Array,
    stress_slope: Array,
) -> Array:
    """Energy set free when a self-balanced stack is parted along each of its interfaces.

    Each part springs back elastically on its own, so the energy is the compliance form of the
    force and moment that one part held against the other.  A metal that yields again while the
    parts spring back would take some of it: an upper figure.

    Parameters
    ----------
    thickness, modulus : array_like, shape (..., n_layer)
        Thickness [m] and biaxial modulus [Pa], back to front; a zero layer is absent.
    mean_stress : ndarray, shape (..., n_layer)
        Mean stress of each layer [Pa].
    stress_slope : ndarray, shape (..., n_layer)
        First moment of the stress about the middle of the layer, divided by t^3/12 [Pa/m];
        for a linear profile its slope.

    Returns
    -------
    ndarray, shape (..., n_layer - 1)
        Energy release [J/m^2] of the interface above layer 0, 1, ...
    """
    thickness = np.asarray(thickness, dtype=np.float64)
    modulus = np.asarray(modulus, dtype=np.float64) * (thickness > 0)
    lower, upper = layer_faces(thickness)
    force = mean_stress * thickness
    moment = force * (lower + upper) / 2 + stress_slope * thickness**3 / 12
    energy = np.zeros((*thickness.shape[:-1], thickness.shape[-1] - 1))
    for cut in range(1, thickness.shape[-1]):
        below = section_stiffness(modulus[..., :cut], lower[..., :cut], upper[..., :cut])
        above = section_stiffness(modulus[..., cut:], lower[..., cut:], upper[..., cut:])
        energy[..., cut - 1] = below.compliance_energy(
            force[..., :cut].sum(-1), moment[..., :cut].sum(-1)
        ) + above.compliance_energy(force[..., cut:].sum(-1), moment[..., cut:].sum(-1))
    return energy
