"""One made-up workshop over seven weeks, told through actions; also the data of tests. Nothing in it is real."""

from .telling import load

__all__ = ["load"]
