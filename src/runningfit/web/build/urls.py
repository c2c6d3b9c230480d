"""Addresses of the build room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
