from __future__ import annotations

import pytest
import told_yard

from yard.models import Plan, YardSettings


@pytest.fixture
def yard(db: None) -> YardSettings:
    return told_yard.make_yard()


@pytest.fixture
def plan(yard: YardSettings) -> Plan:
    return told_yard.make_plan()
