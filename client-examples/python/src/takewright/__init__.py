"""A client of the Takewright service.

    import takewright
    with takewright.Client() as client:
        regions, rate = client.segment("takes/tremolo.wav")
        clean, report = client.denoise(takewright.WavFile("takes/tremolo.wav"))

``takewright.v1`` is the contract, generated from proto/ when the package is built.
"""
import os as _os

_HERE = _os.path.dirname(_os.path.abspath(__file__))
if not _os.path.isdir(_os.path.join(_HERE, "v1")):
    raise ImportError(
        f"the contract's stubs are missing; run {_os.path.normpath(_os.path.join(_HERE, '..', '..', 'generate.sh'))} once",
        name="takewright.v1",
    )

from .client import TIMEOUT_S, Client, is_loopback, token_file_of
from .errors import Problem
from .follow import follow
from .wav import Sound, WavFile, WavWriter

__all__ = [
    "Client",
    "Problem",
    "Sound",
    "TIMEOUT_S",
    "WavFile",
    "WavWriter",
    "follow",
    "is_loopback",
    "token_file_of",
]
