"""Tests of shared_models/i18n."""
