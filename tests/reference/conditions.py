"""What lies between an instrument and the samples: noise, a room, a phone, a low rate. Must not know what is played.

Each condition leaves the truth of the tone alone; what a fixed filter takes from the harmonics is told by `response`.
"""

from dataclasses import dataclass

import numpy as np
from scipy import signal


@dataclass(frozen=True)
class Condition:
    """`snr_db` is the tone's mean power over the noise's in the whole band; `reverberation_s` the time for 60 dB."""

    name: str
    rate_hz: int = 48_000
    snr_db: float | None = None
    noise: str = "white"
    reverberation_s: float | None = None
    # Direct over reverberant energy. A player 40 cm from the microphone in a classroom of 200 m3: the critical
    # distance 0.057 sqrt(V / T) is 1.0 to 1.3 m, which gives 8 to 10 dB; a phone farther off or turned away has less.
    direct_db: float = 6.0
    high_pass_hz: float | None = None

    def response(self, f_hz):
        """Magnitude of the fixed filter at frequencies, linear."""
        if self.high_pass_hz is None:
            return np.ones_like(f_hz)
        _, h = signal.sosfreqz(self._high_pass(), worN=np.ravel(f_hz), fs=self.rate_hz)
        return np.abs(h).reshape(np.shape(f_hz))

    def _high_pass(self):
        return signal.butter(2, self.high_pass_hz, "highpass", fs=self.rate_hz, output="sos")

    def apply(self, samples, rng):
        """The samples as a microphone gives them."""
        out = samples
        if self.reverberation_s is not None:
            out = signal.oaconvolve(out, self._room(rng))[: len(samples)]
        if self.high_pass_hz is not None:
            out = signal.sosfilt(self._high_pass(), out)
        if self.snr_db is not None:
            noise = coloured_noise(len(out), self.noise, self.rate_hz, rng)
            out = out + noise * np.sqrt(np.mean(out**2) / 10 ** (self.snr_db / 10))
        return out

    def _room(self, rng):
        """A direct sound, and an exponential noise tail from 4 ms after it on (a way longer by 1.4 m)."""
        n = int(1.1 * self.reverberation_s * self.rate_hz)
        tail = rng.standard_normal(n) * 10 ** (-3.0 * np.arange(n) / (self.reverberation_s * self.rate_hz))
        tail[: int(0.004 * self.rate_hz)] = 0.0
        # Walls and air take the highs: a first-order fall from 4 kHz (common practice, no source).
        tail = signal.sosfilt(signal.butter(1, 4000.0, fs=self.rate_hz, output="sos"), tail)
        tail *= np.sqrt(10 ** (-self.direct_db / 10) / np.sum(tail**2))
        tail[0] += 1.0
        return tail


def coloured_noise(n, colour, rate_hz, rng):
    """White or pink (power falling as 1/f above 20 Hz) noise of unit power."""
    white = rng.standard_normal(n)
    if colour == "white":
        return white
    n_fast = 1 << (n - 1).bit_length()
    spectrum = np.fft.rfft(rng.standard_normal(n_fast))
    f_hz = np.fft.rfftfreq(n_fast, 1.0 / rate_hz)
    pink = np.fft.irfft(spectrum / np.sqrt(np.maximum(f_hz, 20.0)))[:n]
    return pink / np.sqrt(np.mean(pink**2))


CLEAN = Condition("clean")
CONDITIONS = (
    CLEAN,
    Condition("white 30 dB", snr_db=30.0),
    Condition("room 0.4 s", reverberation_s=0.4, direct_db=8.0, snr_db=45.0),
    Condition("phone 120 Hz", rate_hz=44_100, high_pass_hz=120.0, snr_db=35.0, noise="pink"),
    CLEAN,
    Condition("pink 20 dB", snr_db=20.0, noise="pink"),
    Condition("16 kHz", rate_hz=16_000, snr_db=40.0),
    Condition("white 20 dB", snr_db=20.0),
    Condition("room 0.8 s", reverberation_s=0.8, direct_db=5.0, snr_db=45.0),
    Condition("phone 200 Hz", rate_hz=44_100, high_pass_hz=200.0, snr_db=30.0),
    Condition("room 0.6 s", reverberation_s=0.6, direct_db=6.0, snr_db=40.0),
)
