"""Assessment and facts → everything the paper says, as one frozen tree of worded values."""

from reports.preplan.build import preplan
from reports.preplan.plan import PrePlan

__all__ = ["PrePlan", "preplan"]
