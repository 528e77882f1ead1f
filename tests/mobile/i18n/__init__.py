"""Tests of mobile/i18n."""
