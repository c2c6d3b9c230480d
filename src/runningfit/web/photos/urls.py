"""Addresses of the photos room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
