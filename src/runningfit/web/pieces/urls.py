"""Addresses of the pieces room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
