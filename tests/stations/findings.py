"""Reads the values of a finding by their names."""

from __future__ import annotations

from traveller.judgement import Finding


def figures(finding: Finding) -> dict[str, float | str]:
    return {figure.name: figure.value for figure in finding.values}
