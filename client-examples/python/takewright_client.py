#!/usr/bin/env python3
"""Runs the client from this folder, without installing it: takewright_client.py --help"""
import os
import runpy
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "src"))
try:
    runpy.run_module("takewright", run_name="__main__")
except ImportError as error:
    if error.name and error.name.startswith("takewright"):
        remedy = ""
    else:
        remedy = "; pip install grpcio protobuf, or on Debian: apt install python3-grpcio python3-protobuf"
    print(f"takewright: {error}{remedy}", file=sys.stderr)
    sys.exit(2)
