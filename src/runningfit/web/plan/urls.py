"""Addresses of the plan room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
