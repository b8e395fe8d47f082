"""The fit on straight lines, where the answer is known in closed form."""

from dataclasses import replace

import numpy as np
import pytest

from leeward.calibrate.fit import Lines, Prior, bounds, fit, lasting, predicted
from leeward.calibrate.observed import Observed
from leeward.heat.grid import Floats
from leeward.heat.records import Bools

SECONDS, CHANNELS = 300, 3
TRUTH = np.array([0.3, -0.2, np.log(2.0)])
FREE: Bools = np.ones(3, dtype=bool)


def lines() -> Lines:
    """Return a model of two factors: one lifts every channel, one the first alone, both rising with time."""
    time_s = np.arange(SECONDS + 1.0)
    level = 25 + 100 * (1 - np.exp(-time_s / 60))[:, None] * np.array([1.0, 0.8, 0.6])
    both = 40 * (1 - np.exp(-time_s / 80))[:, None] * np.array([1.0, 0.7, 0.4])
    first = 30 * (1 - np.exp(-time_s / 30))[:, None] * np.array([1.0, 0.1, -0.2])
    return Lines(np.zeros(2), level, np.array([both, first]))


def prior(spread: float = 0.4) -> Prior:
    """Return a prior round 1 for the factors and round a lag of 1.5 s."""
    return Prior(np.array([0.0, 0.0, np.log(1.5)]), np.diag([spread**2, spread**2, 1.0]), np.full(3, np.inf))


def seen(noise_c: float, *, off: Floats | None = None, seed: int = 0) -> Observed:
    """Return what probes read of the truth once a second, with noise, and off by so much (m,)."""
    channel = np.repeat(np.arange(CHANNELS), SECONDS)
    time_s = np.tile(np.arange(SECONDS, dtype=float) + 0.5, CHANNELS)
    blank = Observed(channel, time_s, np.zeros(time_s.size), ())
    read = predicted(blank, lines(), TRUTH) + np.random.default_rng(seed).normal(0, noise_c, time_s.size)
    return replace(blank, celsius=read if off is None else read + off)


def test_factors_and_lag_are_found() -> None:
    """From readings with a little noise the fit finds both factors and the lag."""
    found = fit(seen(0.3), lines(), prior(), prior().mean, FREE)
    assert found.unknowns == pytest.approx(TRUTH, abs=0.03)
    assert found.scatter_c == pytest.approx(0.3, rel=0.1)


def test_the_stated_spread_is_that_of_the_errors() -> None:
    """Over many logs errors over stated spreads have a root mean square near one, or less: a floor is under them."""
    off = []
    for seed in range(40):
        found = fit(seen(6.0, seed=seed), lines(), prior(), prior().mean, FREE)
        off.append((found.unknowns - TRUTH) / np.sqrt(np.diag(found.covariance)))
    assert 0.6 < np.sqrt(np.mean(np.square(off))) < 1.2


def test_what_lasts_counts_as_few_readings() -> None:
    """A wave of the same size as the noise spreads the factors far more than the noise does."""
    wave = 3.0 * np.sin(np.tile(np.arange(SECONDS), CHANNELS) / 40.0)
    spread = [
        np.sqrt(np.diag(fit(seen(noise, off=off), lines(), prior(), prior().mean, FREE).covariance))[0]
        for noise, off in ((2.1, None), (0.3, wave))
    ]
    assert spread[1] > 2 * spread[0]


def test_a_channel_gone_wild_does_not_pull_the_rest() -> None:
    """With a tenth of the readings far off the factors are still found."""
    wild = np.where(np.arange(SECONDS * CHANNELS) % 10 == 0, 60.0, 0.0)
    found = fit(seen(0.3, off=wild), lines(), prior(), prior().mean, FREE)
    assert found.unknowns == pytest.approx(TRUTH, abs=0.05)
    assert found.weight[wild > 0].max() < 0.1


def test_what_is_not_free_stays_and_its_doubt_is_in_the_others() -> None:
    """A factor that is held keeps its value and spread, and what it does to the others' is in their spread."""
    held = np.array([True, False, True])
    tight, loose = (
        fit(
            seen(0.3),
            lines(),
            Prior(prior().mean, np.diag([0.16, doubt**2, 1.0]), np.full(3, np.inf)),
            prior().mean,
            held,
        )
        for doubt in (1e-4, 0.4)
    )
    assert tight.unknowns[1] == loose.unknowns[1] == 0.0
    assert loose.covariance[0, 0] > 1.5 * tight.covariance[0, 0]


def test_nothing_is_fitted_past_its_bounds() -> None:
    """What a factor can be at most holds, however far off the truth is; the lag stays within its own bounds."""
    capped = fit(seen(0.3), lines(), replace(prior(), most=np.array([0.1, np.inf, np.inf])), prior().mean, FREE)
    assert capped.unknowns[0] == pytest.approx(0.1, abs=1e-3)
    low, high = bounds(prior())
    assert np.exp(low[-1]) == pytest.approx(0.05)
    assert np.exp(high[-1]) == pytest.approx(30.0)
    assert high[0] == pytest.approx(3.5 * 0.4)


def test_noise_is_told_from_what_lasts() -> None:
    """White noise does not last; a part that fades is found with its size and its time, whatever noise lies on it."""
    random, blank = np.random.default_rng(1), seen(0.0)
    ones, fade = np.ones(SECONDS * CHANNELS), np.exp(-1 / 30)
    assert lasting(random.normal(size=ones.size), blank, ones).share == 0.0
    walk = np.zeros((CHANNELS, SECONDS))
    for i in range(1, SECONDS):
        walk[:, i] = fade * walk[:, i - 1] + random.normal(0, np.sqrt(1 - fade**2), CHANNELS)
    found = lasting(2.0 * walk.ravel() + random.normal(0, 1.0, ones.size), blank, ones)
    assert found.share == pytest.approx(0.8, abs=0.15)
    assert 10 < found.seconds(1.0) < 90
