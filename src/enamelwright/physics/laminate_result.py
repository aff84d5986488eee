"""What the laminate solver hands back: curvature, face stresses, peaks, profiles, energies."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.physics.elastic_laminate import release_energy

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Trace:
    """The state at every node of the schedule.

    Attributes
    ----------
    temperature : ndarray, shape (n_node,)
        [K].
    curvature : ndarray, shape (n_draw, n_node)
        [1/m], positive when the front is convex.
    strain : ndarray, shape (n_draw, n_node)
        In-plane strain of the middle of the metal since the start.
    coat_stress : ndarray, shape (n_draw, n_node, n_coat, 2)
        Inner (metal side) and outer face [Pa]; NaN before a coat is fused.
    """

    temperature: Array
    curvature: Array
    strain: Array
    coat_stress: Array


@dataclass(frozen=True, eq=False)
class LaminateResult:
    """Bow and stress after each firing.

    Coats keep the order in which they were given; their two faces are (inner, outer), inner being
    the one toward the metal.  Stress is positive in tension, NaN where a coat is absent.

    Attributes
    ----------
    sides : tuple of str
        "front" or "back" for each coat.
    layer_of_coat : tuple of int
        Position of each coat counted from the back.
    metal_layer : int
        Position of the metal counted from the back.
    layer_thickness : ndarray, shape (n_draw, n_firing, n_layer)
        Thickness in force during each firing, back to front [m]; later coats included.
    hot_curvature : ndarray, shape (n_draw, n_firing)
        When the glass is fluid and cooling begins [1/m].
    cold_curvature : ndarray, shape (n_draw, n_firing)
        At the end of the firing [1/m].
    cold_strain : ndarray, shape (n_draw, n_firing)
        Strain of the middle of the metal since the start.
    coat_stress : ndarray, shape (n_draw, n_firing, n_coat, 2)
        At the end of each firing [Pa].
    heating_peak, cooling_peak : ndarray, shape (n_draw, n_firing, n_coat, 2)
        Largest stress of each face while heating (hold included) and while cooling [Pa]; negative
        if the face never leaves compression.
    heating_peak_temperature, cooling_peak_temperature : ndarray, same shape
        Where it happens [K].
    metal_stress, plastic_strain : ndarray, shape (n_draw, n_firing, n_point)
        At the Gauss points of the metal, back to front, at the end of each firing.
    coat_modulus : ndarray, shape (n_draw, n_coat)
        Biaxial modulus of the rigid glass [Pa].
    metal_modulus : ndarray, shape (n_draw, n_firing)
        Biaxial modulus of the metal at the end of each firing [Pa].
    unbalanced : ndarray, shape (n_draw, 2)
        Largest force [N/m] and moment [N] left unbalanced in any step.
    trace : Trace or None
        Every node, if asked for.
    """

    sides: tuple[str, ...]
    layer_of_coat: tuple[int, ...]
    metal_layer: int
    layer_thickness: Array
    hot_curvature: Array
    cold_curvature: Array
    cold_strain: Array
    coat_stress: Array
    heating_peak: Array
    heating_peak_temperature: Array
    cooling_peak: Array
    cooling_peak_temperature: Array
    metal_stress: Array
    plastic_strain: Array
    coat_modulus: Array
    metal_modulus: Array
    unbalanced: Array
    trace: Trace | None

    def outer_stress(self, side: str) -> Array:
        """Stress of the exposed glass face of one side after each firing.

        Parameters
        ----------
        side : {"front", "back"}
            Which side.

        Returns
        -------
        ndarray, shape (n_draw, n_firing)
            [Pa]; NaN where the metal is bare.
        """
        draws, firings = self.cold_curvature.shape
        outer = np.full((draws, firings), np.nan)
        for coat, own in enumerate(self.sides):
            if own == side:
                value = self.coat_stress[:, :, coat, 1]
                outer = np.where(np.isnan(value), outer, value)
        return outer

    def largest_tension(self, phase: str) -> tuple[Array, Array, npt.NDArray[np.int64]]:
        """Largest face stress of any coat in one phase of each firing.

        Parameters
        ----------
        phase : {"heating", "cooling"}
            Which phase.

        Returns
        -------
        stress : ndarray, shape (n_draw, n_firing)
            [Pa]; NaN when no coat was there.
        temperature : ndarray, shape (n_draw, n_firing)
            [K].
        coat : ndarray of int, shape (n_draw, n_firing)
            Which coat; -1 for none.
        """
        peak = self.heating_peak if phase == "heating" else self.cooling_peak
        heat = self.heating_peak_temperature if phase == "heating" else self.cooling_peak_temperature
        draws, firings = self.cold_curvature.shape
        flat = peak.reshape(draws, firings, -1)
        if flat.shape[-1] == 0:
            none = np.full((draws, firings), np.nan)
            return none, none, np.full((draws, firings), -1)
        at = np.argmax(np.where(np.isnan(flat), -np.inf, flat), axis=-1)[..., np.newaxis]
        stress = np.take_along_axis(flat, at, axis=-1)[..., 0]
        where = np.take_along_axis(heat.reshape(draws, firings, -1), at, axis=-1)[..., 0]
        return stress, where, np.where(np.isnan(stress), -1, at[..., 0] // 2)

    def metal_height(self) -> Array:
        """Height of the Gauss points of the metal above its middle [m].

        Returns
        -------
        ndarray, shape (n_draw, n_point)
        """
        sublayers = self.metal_stress.shape[-1] // 2
        arm = np.array([-1.0, 1.0]) / (2 * np.sqrt(3.0))
        unit = ((np.arange(sublayers) + 0.5)[:, np.newaxis] + arm).ravel() / sublayers - 0.5
        thickness = self.layer_thickness[:, 0, self.metal_layer]
        return np.asarray(thickness[:, np.newaxis] * unit)

    def interface_energy(self, firing: int = -1) -> Array:
        """Energy that parting each interface would set free, cold, after one firing.

        Parameters
        ----------
        firing : int
            Which firing; the last one by default.

        Returns
        -------
        ndarray, shape (n_draw, n_layer - 1)
            [J/m^2] for the interfaces from back to front; zero where there is none.
        """
        thickness = self.layer_thickness[:, firing].copy()
        mean, slope = np.zeros_like(thickness), np.zeros_like(thickness)
        modulus = np.zeros_like(thickness)
        for coat, layer in enumerate(self.layer_of_coat):
            inner, outer = (
                self.coat_stress[:, firing, coat, 0],
                self.coat_stress[:, firing, coat, 1],
            )
            there = ~np.isnan(inner)
            sign = 1.0 if self.sides[coat] == "front" else -1.0
            safe = np.where(there, thickness[:, layer], 1.0)
            thickness[:, layer] = np.where(there, thickness[:, layer], 0.0)
            mean[:, layer] = np.where(there, (inner + outer) / 2, 0.0)
            slope[:, layer] = np.where(there, sign * (outer - inner) / safe, 0.0)
            modulus[:, layer] = self.coat_modulus[:, coat]
        sheet = thickness[:, self.metal_layer]
        stress, height = self.metal_stress[:, firing], self.metal_height()
        mean[:, self.metal_layer] = stress.mean(axis=-1)
        slope[:, self.metal_layer] = 12 * (stress * height).mean(axis=-1) / sheet**2
        modulus[:, self.metal_layer] = self.metal_modulus[:, firing]
        return release_energy(thickness, modulus, mean, slope)
