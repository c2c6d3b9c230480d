"""Addresses of the outside_work room."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
