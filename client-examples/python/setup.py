"""Generates the contract's stubs when the package is built from the repository; a source package brings them along."""
import os
import subprocess

from setuptools import setup

HERE = os.path.dirname(os.path.abspath(__file__))


def generate():
    if os.path.isdir(os.path.join(HERE, "..", "..", "proto")):
        subprocess.run([os.path.join(HERE, "generate.sh")], check=True)


# Before setuptools looks for packages: the stubs are one of them.
generate()
setup()
