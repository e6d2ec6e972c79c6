"""slake: from waste to printed paste and back to soil. `import slake` loads neither Django nor scipy."""

__version__ = "0.3.0"
