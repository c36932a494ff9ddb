"""Clearance once more, written to be short and obvious instead of fast or talkative: what the rule is compared with.

Days are counted as differences of calendar days, not as moments, so that the two share no arithmetic.
"""

from datetime import datetime
from zoneinfo import ZoneInfo

from machines.clearance.facts import MachineRequirements, StudentRecord


def model(r: MachineRequirements, e: StudentRecord, at: datetime) -> str:
    def good(since, until=None):
        return since <= at and (until is None or at < until)

    def days_since(moments):
        zone = ZoneInfo(e.zone)
        return (at.astimezone(zone).date() - max(moments).astimezone(zone).date()).days

    by_kind = r.demonstration == "kind"
    passes = [p for p in e.passes if good(p.at, p.gone_at)]
    now = {p.bank for p in passes if not p.refresher and good(p.at, p.counts_until)}
    ever = {p.bank for p in passes if not p.refresher}
    asked_banks = {b.bank for b in r.banks}
    unread = {b.bank for b in r.banks if not b.accepted}
    shown = [
        s for s in e.sign_offs if good(s.at, s.gone_at) and (s.kind == r.kind if by_kind else s.machine == r.machine)
    ]
    used = [u.at for u in e.uses if good(u.at) and (u.kind == r.kind if by_kind else u.machine == r.machine)]
    proofs = [s.at for s in shown] + [p.at for p in passes if p.bank == r.own_bank]
    ends = {"term": lambda s: s.term_ends, "year": lambda s: s.year_ends, "never": lambda s: None}[r.ends_with]

    held = any(good(h.placed_at, h.lifted_at) and good(h.placed_at, h.until) and (h.machines is None or r.machine in h.machines) for h in e.holds)  # fmt: skip  # noqa: E501
    agreed = all(any(d.kind == k.code and good(d.recorded_at, d.gone_at) and good(d.begins, d.ends) for d in e.documents) for k in r.documents)  # fmt: skip  # noqa: E501
    first = all(any(model(o, e, at) == "cleared" for o in f.one_of) for f in r.first)
    over = shown and all(ends(s) is not None and at >= ends(s) for s in shown)
    days = {amount.kind.column: amount.number for amount in r.amounts}
    stale = shown and "refresh_days" in days and days_since(proofs) > days["refresh_days"]
    idle = shown and "unused_days" in days and days_since(proofs + used) > days["unused_days"]
    begun = {t.bank for t in e.tries if good(t.at)} | {p.bank for p in passes}
    own = {r.own_bank} if r.own_bank is not None else asked_banks

    if held:
        return "on hold"
    if agreed and asked_banks <= now and first and shown and not (over or stale or idle):
        return "cleared"
    if shown and (over or stale or idle or (asked_banks - now) & (ever | unread)):
        return "expired"
    if agreed and asked_banks <= now and first and not shown:
        return "ready for sign-off"
    return "in training" if shown or begun & own else "not started"
