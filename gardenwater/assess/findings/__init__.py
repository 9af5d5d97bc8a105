"""Findings, by question: what the answers mean for the person who gardens there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from gardenwater.assess.answers import CatchAnswer, OverflowAnswer, ReachAnswer, TankChain
from gardenwater.assess.bed_change import BedChange, Carry
from gardenwater.assess.findings.catch import catch_findings
from gardenwater.assess.findings.ground import ground_findings, settings_findings
from gardenwater.assess.findings.lasting import lasting_findings
from gardenwater.assess.findings.levels import level_findings
from gardenwater.assess.findings.lines import line_findings
from gardenwater.assess.findings.mud import mud_findings
from gardenwater.assess.findings.overflow import overflow_findings
from gardenwater.assess.findings.piping import piping_findings
from gardenwater.assess.findings.reach import reach_findings
from gardenwater.assess.findings.safety import safety_findings
from gardenwater.assess.findings.thinning import thinning_findings
from gardenwater.assess.lasting import LastingAnswer
from gardenwater.assess.mud import MudAnswer
from gardenwater.findings import Finding
from gardenwater.findings.making import in_order
from gardenwater.ground import GroundAnswer
from gardenwater.site.model import Site


def all_findings(
    site: Site,
    ground: GroundAnswer,
    chains: tuple[TankChain, ...],
    *,
    catch: CatchAnswer,
    reach: ReachAnswer | None,
    overflow: OverflowAnswer | None,
    mud: MudAnswer | None = None,
    lasting: LastingAnswer | None = None,
    changes: Mapping[str, BedChange] = MappingProxyType({}),
    carries: Mapping[str, Carry] = MappingProxyType({}),
) -> tuple[Finding, ...]:
    """Everything that is to be said about a site, by severity, then by what is at stake."""

    def found() -> Iterator[Finding]:
        yield from ground_findings(site, ground)
        yield from settings_findings(site.settings)
        yield from level_findings(site, ground.ground, chains, catch.wires)
        yield from safety_findings(site, ground.ground)
        yield from catch_findings(site, catch)
        by_tank = {chain.tank: chain for chain in chains}
        yield from line_findings(site, ground.ground, by_tank, catch.wires)
        yield from piping_findings(site, ground.ground, by_tank, catch.wires)
        if reach is not None:
            yield from reach_findings(site, reach, by_tank, changes, carries)
        if overflow is not None:
            yield from overflow_findings(site, overflow, catch.wires)
        if mud is not None:
            yield from mud_findings(site, mud)
        yield from lasting_findings(site, lasting)
        yield from thinning_findings(ground.ground, reach, overflow)

    return in_order(list(found()))
