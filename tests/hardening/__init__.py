"""The hardening suite: what could lose, harm or mislead, tried many times over. `pytest tests/hardening [--long]`.

Each tool is a command of its own that prints its figures as one line of JSON: `python -m tests.hardening.files --count 500`.
"""
