"""A made-up shop of any size: for looking around, for trying things, and for measuring speed."""

from __future__ import annotations

from app.demo.story import Built, build_demo

__all__ = ["Built", "build_demo"]
