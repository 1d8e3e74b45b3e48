"""Radiance of the clear twilight sky by a spherical Monte Carlo of multiple scattering.

    python light_radiance.py [thousands of photons, clear] [the same, hazy] > light_radiance.csv

Photons are traced backward from an observer on the ground, in a shell of 90 km of air over a sphere of 6371 km: molecules
by the standard atmosphere's density, an aerosol layer 1.5 km deep with a thin stratospheric one, ozone about 22 km. One
wavelength, 550 nm; no refraction, no polarisation; Lambert ground. At each scattering the sun's light that reaches the point
is added, for every sun altitude and turn at once. Nothing is tuned to any measurement.

Seeds are fixed: the same numbers come out again. Needs numpy and numba; 14 and 8, the defaults, take about eight minutes on
two cores.
"""

import sys

import numba as nb
import numpy as np

EARTH, TOP = 6371.0, 90.0  # km

# The standard atmosphere's density, kg/m³, by height in km.
HEIGHTS = np.array(
    [0, 2, 4, 6, 8, 10, 12, 15, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80, 90, 100.0]
)
DENSITIES = np.array(
    [1.225, 1.0066, .8194, .6601, .5258, .4135, .3119, .1948, .08891, .04008, .01841, .008463, .003996, .001966,
     .001027, .000568, .0003097, .000163, 8.283e-5, 3.99e-5, 1.846e-5, 3.4e-6, 5.6e-7]
)  # fmt: skip

# Vertical optical depths at 550 nm, the aerosol's scattering albedo and asymmetry, and the ground's albedo.
MOLECULES, STRATOSPHERE, OZONE = 0.098, 0.004, 0.030
AEROSOL = {"clear": 0.10, "hazy": 0.25}
AEROSOL_ALBEDO, ASYMMETRY, GROUND = 0.93, 0.7, 0.15

SUNS = np.array([10, 8, 6, 4, 3, 2, 1, 0, -1, -2, -3, -4, -5, -6, -7, -8.0])
TURNS = np.array([0, 15, 30, 45, 60, 90, 135, 180.0])
VIEWS = np.array([1.5, 3, 5, 8, 12, 20, 30, 45, 60, 90.0])
BATCHES, MOST_SCATTERINGS = 64, 40

LEVELS = 1801
GRID = np.linspace(0, TOP, LEVELS)
SPACING = GRID[1]


def air(aerosol):
    """Extinction per km, and the chances that an event scatters by molecules or by aerosol, on the height grid."""

    def layer(shape, depth):
        return depth * shape / np.trapezoid(shape, GRID)

    molecules = layer(np.exp(np.interp(GRID, HEIGHTS, np.log(DENSITIES))), MOLECULES)
    haze = layer(np.exp(-GRID / 1.5), aerosol)
    haze = haze + layer(np.exp(-0.5 * ((GRID - 19) / 4.0) ** 2), STRATOSPHERE)
    ozone = layer(np.exp(-0.5 * ((GRID - 22) / 5.0) ** 2), OZONE)
    extinction = molecules + haze + ozone
    return extinction, molecules / extinction, haze * AEROSOL_ALBEDO / extinction


@nb.njit
def at_height(profile, h):
    if h <= 0:
        return profile[0]
    if h >= TOP:
        return 0.0
    x = h / SPACING
    i = int(x)
    f = x - i
    return profile[i] * (1 - f) + profile[min(i + 1, LEVELS - 1)] * f


@nb.njit
def depth_to_space(extinction, h, mu):
    """Optical depth from height h in the direction of zenith cosine mu; huge when the ground is in the way."""
    r0 = EARTH + h
    if mu < 0 and r0 * np.sqrt(1 - mu * mu) < EARTH:
        return 1e9
    x = 0.0
    depth = 0.0
    while True:
        height = np.sqrt(r0 * r0 + x * x + 2 * r0 * x * mu) - EARTH
        if height > TOP and (mu >= 0 or x > -r0 * mu):
            break
        step = 1.0 + 0.05 * max(height, 0)
        middle = x + step / 2
        height = np.sqrt(r0 * r0 + middle * middle + 2 * r0 * middle * mu) - EARTH
        if height < 0:
            height = 0.0
        depth += at_height(extinction, height) * step
        x += step
        if x > 4000:
            break
    return depth


# Transmission toward the sun, tabulated by height and by how far the sun stands above the point's own dipped horizon.
SUN_STEPS = 160
SUN_HEIGHTS = np.concatenate((np.linspace(0, 5, 21), np.linspace(5.5, 40, 70), np.linspace(41, 90, 50)))


@nb.njit(parallel=True)
def sunlight_table(extinction, heights, steps):
    table = np.zeros((heights.size, steps))
    for i in nb.prange(heights.size):
        dip = np.arccos(EARTH / (EARTH + heights[i]))
        most = np.pi / 2 + dip
        for j in range(steps):
            u = j / (steps - 1.0)
            s = most * u * u * u + 1e-7
            table[i, j] = np.exp(-depth_to_space(extinction, heights[i], np.cos(most - s)))
    return table


@nb.njit
def sunlight(table, heights, h, mu):
    if h >= TOP:
        h = TOP - 1e-6
    if h < 0:
        h = 0.0
    dip = np.arccos(EARTH / (EARTH + h))
    most = np.pi / 2 + dip
    s = most - np.arccos(min(1.0, max(-1.0, mu)))
    if s <= 0:
        return 0.0
    u = (s / most) ** (1 / 3.0)
    i = min(max(np.searchsorted(heights, h) - 1, 0), heights.size - 2)
    f = (h - heights[i]) / (heights[i + 1] - heights[i])
    x = u * (SUN_STEPS - 1)
    j = min(int(x), SUN_STEPS - 2)
    g = x - j
    near = table[i, j] * (1 - f) + table[i + 1, j] * f
    far = table[i, j + 1] * (1 - f) + table[i + 1, j + 1] * f
    return near * (1 - g) + far * g


@nb.njit
def turned(d, cosine, azimuth):
    """Direction d, turned by an angle of this cosine toward an azimuth about itself."""
    sine = np.sqrt(max(0.0, 1 - cosine * cosine))
    if abs(d[2]) > 0.99999:
        return np.array([sine * np.cos(azimuth), sine * np.sin(azimuth), cosine * np.sign(d[2])])
    q = np.sqrt(1 - d[2] * d[2])
    return np.array([
        sine * (d[0] * d[2] * np.cos(azimuth) - d[1] * np.sin(azimuth)) / q + d[0] * cosine,
        sine * (d[1] * d[2] * np.cos(azimuth) + d[0] * np.sin(azimuth)) / q + d[1] * cosine,
        -sine * np.cos(azimuth) * q + d[2] * cosine,
    ])  # fmt: skip


@nb.njit
def rayleigh(c):
    return 3 / (16 * np.pi) * (1 + c * c)


@nb.njit
def henyey_greenstein(c, g):
    return (1 - g * g) / (4 * np.pi) / (1 + g * g - 2 * g * c) ** 1.5


@nb.njit
def draw_rayleigh():
    while True:
        c = 2 * np.random.random() - 1
        if np.random.random() * 2 < 1 + c * c:
            return c


@nb.njit
def draw_henyey_greenstein(g):
    s = (1 - g * g) / (1 - g + 2 * g * np.random.random())
    return (1 + g * g - s * s) / (2 * g)


@nb.njit
def trace(extinction, molecules, haze, table, heights, suns, view, photons, seed, level):
    """Mean radiance for each sun, per unit of its irradiance: along a view, or over level ground's hemisphere."""
    np.random.seed(seed)
    total = np.zeros(suns.shape[0])
    for _ in range(photons):
        p = np.array([0.0, 0.0, EARTH + 0.02])
        if level:
            up = np.sqrt(np.random.random())
            out = np.sqrt(1 - up * up)
            azimuth = 2 * np.pi * np.random.random()
            d = np.array([out * np.cos(azimuth), out * np.sin(azimuth), up])
        else:
            d = np.array([np.cos(view), 0.0, np.sin(view)])
        weight = 1.0
        for order in range(MOST_SCATTERINGS):
            r0 = np.sqrt(p[0] ** 2 + p[1] ** 2 + p[2] ** 2)
            mu = (p[0] * d[0] + p[1] * d[1] + p[2] * d[2]) / r0
            if order == 0:  # made to scatter before it leaves the air, and weighted for that
                chance = 1 - np.exp(-depth_to_space(extinction, r0 - EARTH, mu))
                weight *= chance
                target = -np.log(1 - np.random.random() * chance)
            else:
                target = -np.log(1 - np.random.random())
            depth = 0.0
            x = 0.0
            grounded = False
            gone = False
            while True:
                h = np.sqrt(r0 * r0 + x * x + 2 * r0 * x * mu) - EARTH
                if h < 0:
                    grounded = True
                    break
                if h > TOP and x + r0 * mu >= 0:
                    gone = True
                    break
                step = 0.5 + 0.06 * min(h, 60.0)
                middle = x + step / 2
                height = np.sqrt(r0 * r0 + middle * middle + 2 * r0 * middle * mu) - EARTH
                added = at_height(extinction, max(height, 0.0)) * step
                if depth + added >= target:
                    x += step * (target - depth) / added
                    break
                depth += added
                x += step
                if x > 5000:
                    gone = True
                    break
            if gone:
                break
            p = p + d * x
            r = np.sqrt(p[0] ** 2 + p[1] ** 2 + p[2] ** 2)
            up = p / r
            h = r - EARTH
            if grounded:
                p = up * (EARTH + 1e-4)
                for q in range(suns.shape[0]):
                    c = up[0] * suns[q, 0] + up[1] * suns[q, 1] + up[2] * suns[q, 2]
                    if c > 0:
                        total[q] += weight * GROUND / np.pi * c * sunlight(table, heights, 0.0, c)
                weight *= GROUND
                d = turned(up, np.sqrt(np.random.random()), 2 * np.pi * np.random.random())
            else:
                a = at_height(molecules, h)
                b = at_height(haze, h)
                weight *= a + b
                for q in range(suns.shape[0]):
                    mu = up[0] * suns[q, 0] + up[1] * suns[q, 1] + up[2] * suns[q, 2]
                    t = sunlight(table, heights, h, mu)
                    if t > 0:
                        c = d[0] * suns[q, 0] + d[1] * suns[q, 1] + d[2] * suns[q, 2]
                        phase = (a * rayleigh(c) + b * henyey_greenstein(c, ASYMMETRY)) / (a + b)
                        total[q] += weight * t * phase
                if np.random.random() * (a + b) < a:
                    cosine = draw_rayleigh()
                else:
                    cosine = draw_henyey_greenstein(ASYMMETRY)
                d = turned(d, cosine, 2 * np.pi * np.random.random())
            if weight < 0.05:  # half of the faint ones go on at twice the weight
                if np.random.random() < 0.5:
                    weight *= 2
                else:
                    break
    return total / photons


@nb.njit(parallel=True)
def trace_batches(extinction, molecules, haze, table, heights, suns, view, photons, level):
    out = np.zeros((BATCHES, suns.shape[0]))
    for i in nb.prange(BATCHES):
        out[i] = trace(extinction, molecules, haze, table, heights, suns, view, photons, 1234 + i * 7919, level)
    return out


def sky(name, photons):
    """Irradiance by sun; radiance by view, sun and turn; and the radiance's relative standard error."""
    extinction, molecules, haze = air(AEROSOL[name])
    table = sunlight_table(extinction, SUN_HEIGHTS, SUN_STEPS)
    s, a = (np.radians(x).ravel() for x in np.meshgrid(SUNS, TURNS, indexing="ij"))
    suns = np.stack([np.cos(s) * np.cos(a), np.cos(s) * np.sin(a), np.sin(s)], axis=1)

    def batches(view, photons, level):
        args = extinction, molecules, haze, table, SUN_HEIGHTS, suns, np.radians(view), photons, level
        return trace_batches(*args).reshape(BATCHES, SUNS.size, TURNS.size)

    diffuse = np.pi * batches(0.0, 2 * photons, True).mean(axis=(0, 2))
    rise = np.sin(np.radians(SUNS))
    direct = [max(x, 0) * sunlight(table, SUN_HEIGHTS, 0.02, x) for x in rise]
    radiance = np.array([batches(view, photons, False) for view in VIEWS])
    error = radiance.std(axis=1) / np.sqrt(BATCHES) / radiance.mean(axis=1)
    return diffuse + direct, radiance.mean(axis=1), error


if __name__ == "__main__":
    thousands = [float(text) for text in sys.argv[1:3]] or [14, 8]
    print("# Clear twilight sky by Monte Carlo (light_radiance.py): radiance of the sky per unit of the sun's irradiance")
    print("# above the air, at ten view altitudes in degrees; irradiance = diffuse and direct, on level ground.")
    print("air,sun_deg,turn_deg,irradiance," + ",".join(f"l{view:g}" for view in VIEWS))
    for name, photons in zip(AEROSOL, thousands):
        irradiance, radiance, error = sky(name, int(1000 * photons))
        print(f"{name}: relative standard error by sun", file=sys.stderr)
        for j, sun in enumerate(SUNS):
            print(f"  {sun:g}°: median {np.median(error[:, j]):.4f}, worst {error[:, j].max():.4f}", file=sys.stderr)
            for k, turn in enumerate(TURNS):
                cells = (f"{x:.9e}" for x in (irradiance[j], *radiance[:, j, k]))
                print(f"{name},{sun:g},{turn:g}," + ",".join(cells))
