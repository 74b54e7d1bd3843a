"""Deck and building as a phone shows them: few faces, baked pictures, files that its own viewer opens."""

from .model import Meshed, PhoneModel, Picture, Skin
from .parts import phone_model

__all__ = ["Meshed", "PhoneModel", "Picture", "Skin", "phone_model"]
