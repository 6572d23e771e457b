#!/usr/bin/env python3
"""Recomputes every signal of fantail plans and compares.

    recompute.py PLAN.json [FOLDER ...]

Reads `plugs`, `settings`, `cables`, `devices` and `models` of each plan, lets every source run
forward through the rig, act by act, and only then looks at `signals`. In the same way it follows the
copper from each plug that asks for 48 V to the preamps that have it on, and only then looks at
`phantom_path`, and that gain and pad are set where rows state them; and it lists who feeds whom in any act, and holds the steps of `power` against it. It
shares no code with the
compiler and must not: it is there to show that the plan alone is enough. Standard library only.
Exit status: 0 all equal, 1 differences (listed, one a line), 2 a file could not be read.
"""

import json
import re
import sys
from collections import defaultdict, deque
from pathlib import Path

POINT = re.compile(r"^(?P<device>.+)\.(?P<item>[^. ]+)(?: (?P<first>\d+)(?:-(?P<last>\d+))?)?$")

# What joins a bank's point to another place; of several feeds the first of these counts.
PLUG, RUN, TAKE, COPY, FIXED, ROUTED = range(6)


def split_point(text):
    """`foh.portA 1-8` gives device, item, first, last; the numbers are None where there are none."""
    match = POINT.match(text)
    if match is None:
        raise ValueError(f"`{text}` is no point")
    first = int(match["first"]) if match["first"] else None
    last = int(match["last"]) if match["last"] else first
    return match["device"], match["item"], first, last


class Wiring:
    """A model at the plan's rate."""

    def __init__(self, wiring, rate):
        self.banks = {bank["bank"]: bank for bank in wiring["banks"]}
        self.ports = {port["port"]: port for port in wiring["ports"]}
        self.arriving, self.leaving = {}, {}
        for name, port in self.ports.items():
            rates = sorted((s for s in port["slots"] if s["rate_hz"] >= rate), key=lambda s: s["rate_hz"])
            self.arriving[name] = rates[0]["in"] if rates else 0
            self.leaving[name] = rates[0]["out"] if rates else 0
        self.carries, self.passes = wiring["carries"], wiring["passes"]
        self.takes, self.copies = wiring["takes"], wiring["copies"]
        self.fixed = [r for r in wiring["routes"] if r.get("fixed") and r.get("rate_hz", rate) == rate]
        self.blocks = {}
        for block in wiring["blocks"]:
            points = self.blocks[block["block"]] = []
            for text in block["points"]:
                _, item, first, last = split_point("self." + text)
                points += [(item, n) for n in range(first, last + 1)]

    def fixed_of(self, target):
        return [route for route in self.fixed if route["bank"] == target]

    def give(self, device, item, n):
        """The place in the rig from which a route, a take or a copy draws point n of something."""
        if item in self.blocks:
            points = self.blocks[item]
            return self.give(device, *points[n - 1]) if 1 <= n <= len(points) else None
        if item in self.ports:
            return ("arrive", device, item, n) if 1 <= n <= self.arriving[item] else None
        return ("bank", device, item, n) if 1 <= n <= self.banks[item]["size"] else None


class Rig:
    """What is joined to what in one act. `joins[a]` lists (b, rank, name): a feeds b; among several
    feeds of b the one with the lowest rank counts; `name` is the slot's, where a cable is crossed."""

    def __init__(self, plan, act):
        extra = act or {}
        both = lambda key: plan[key] + extra.get(key, [])
        wirings = {name: Wiring(model["wiring"], plan["rate_hz"]) for name, model in plan["models"].items()}
        self.devices = {device["name"]: device for device in both("devices")}
        self.wiring = {name: wirings[device["model"]] for name, device in self.devices.items()}
        self.plugs, self.signals, self.kinds = both("plugs"), both("signals"), plan.get("kinds", {})
        self.given = plan.get("given", []) + extra.get("given", [])
        self.sources = {source["source"]: source for source in plan.get("sources", []) + extra.get("sources", [])}
        self.mains = {name: plan["models"][device["model"]].get("mains") for name, device in self.devices.items()}
        self.joins = defaultdict(list)
        self.links = {}
        self.values = defaultdict(dict)
        self.routes = defaultdict(list)
        self.powered, self.trims = set(), {}
        for setting in both("settings"):
            if setting["set"] == "route":
                self.routes[setting["device"], setting["bank"]].append(setting)
            elif setting["set"] in ("offset", "slot", "mode"):
                self.values[setting["device"], setting["bank"]][setting["set"]] = setting["value"]
            elif setting["set"] == "phantom" and setting["value"]:
                sockets = range(setting["first"], setting["last"] + 1)
                self.powered |= {("bank", setting["device"], setting["bank"], n) for n in sockets}
            elif setting["set"] == "gain" or setting["set"] == "pad" and setting["value"]:
                for n in range(setting["first"], setting["last"] + 1):
                    self.trims[f"{setting['device']}.{setting['bank']} {n}", setting["set"]] = setting["value"]
        for cable in both("cables"):
            if cable["use"] not in ("spare", "redundant"):
                self.lay(cable)
        for name in self.devices:
            self.join_banks(name)
            self.join_ports(name)

    def lay(self, cable):
        device, item, first, last = split_point(cable["from"])
        to_device, to_item, to_first, _ = split_point(cable["to"])
        if first is not None:
            for k in range(last - first + 1):
                line, socket = ("bank", device, item, first + k), ("bank", to_device, to_item, to_first + k)
                self.joins[line].append((socket, (RUN, 0), None))
            return
        ends = ((device, item), (to_device, to_item))
        for near, far in (ends, ends[::-1]):
            self.links[near] = far
            out, into = self.wiring[near[0]].leaving[near[1]], self.wiring[far[0]].arriving[far[1]]
            for n in range(1, min(out, into) + 1):
                self.joins["leave", *near, n].append((("arrive", *far, n), (0, 0), f"{device}.{item} {n}"))

    def desk_of(self, device, port, been=()):
        """The desk to which a port leads that faces it."""
        if self.wiring[device].ports[port]["faces"] != "desk" or (device, port) not in self.links:
            return None
        next_device = self.links[device, port][0]
        if self.devices[next_device]["role"] == "desk":
            return next_device
        if next_device in been:
            return None
        desks = (self.desk_of(next_device, p, (*been, next_device)) for p in self.wiring[next_device].ports)
        return next((desk for desk in desks if desk), None)

    def drives(self, device, port):
        desks = {p: self.desk_of(device, p) for p in self.wiring[device].ports}
        first = next((desk for desk in desks.values() if desk), None)
        return first is not None and desks[port] == first

    def join(self, source, target, rank):
        if source is not None:
            self.joins[source].append((target, rank, None))

    def join_banks(self, name):
        wiring = self.wiring[name]
        for index, takes in enumerate(wiring.takes):
            values = self.values[name, takes["bank"]]
            first = values.get("offset") if takes["at"] == "setting" else takes["at"]
            if first is None or takes.get("mode", values.get("mode")) != values.get("mode"):
                continue
            if takes.get("driven_by") == "first" and not self.drives(name, takes["port"]):
                continue
            for n in range(1, wiring.banks[takes["bank"]]["size"] + 1):
                slot = wiring.give(name, takes["port"], first + n - 1)
                self.join(slot, ("bank", name, takes["bank"], n), (TAKE, index))
        for index, copies in enumerate(wiring.copies):
            mode = self.values[name, copies["bank"]].get("mode")
            if copies.get("mode", mode) != mode:
                continue
            for n in range(1, wiring.banks[copies["bank"]]["size"] + 1):
                point = wiring.give(name, copies["of"], copies["first"] + n - 1)
                self.join(point, ("bank", name, copies["bank"], n), (COPY, index))
        for bank, facts in wiring.banks.items():
            for n, point in self.routed(name, bank, facts["size"], wiring.fixed_of(bank)).items():
                self.join(point, ("bank", name, bank, n), (FIXED, 0))
            for n, point in self.routed(name, bank, facts["size"], self.routes[name, bank]).items():
                self.join(point, ("bank", name, bank, n), (ROUTED, 0))

    def routed(self, name, target, size, routes):
        """Which point feeds which number, by route settings or fixed routes."""
        wiring, fed = self.wiring[name], {}
        for route in routes:
            first, last = route.get("first") or 1, route.get("last") or size
            if isinstance(route["from"], list):
                item, start, count = route["from"][0], 1, last - first + 1
            else:
                _, item, start, end = split_point(route["from"])
                start, count = (1, last - first + 1) if start is None else (start, end - start + 1)
            for k in range(last - first + 1):
                if first + k <= size and first + k not in fed:
                    fed[first + k] = wiring.give(name, item, start + k) if k < count else None
        return fed

    def join_ports(self, name):
        wiring = self.wiring[name]
        for port, size in wiring.leaving.items():
            slots, pile = {}, 0
            for carries in (c for c in wiring.carries if c["port"] == port):
                length = wiring.banks[carries["bank"]]["size"]
                first = carries["at"]
                if first == "stacked":
                    first, pile = pile + 1, pile + length
                elif first == "setting":
                    first = self.values[name, carries["bank"]].get("slot")
                for k in range(length if first else 0):
                    slots.setdefault(first + k, ("bank", name, carries["bank"], k + 1))
            for routes in (wiring.fixed_of(port), self.routes[name, port]):
                for n, point in self.routed(name, port, size, routes).items():
                    slots.setdefault(n, point)
            for n in range(1, size + 1):
                leaving = ("leave", name, port, n)
                if n in slots:
                    self.join(slots[n], leaving, (0, 0))
                    continue
                for index, passes in enumerate(p for p in wiring.passes if p["to"] == port):
                    self.join(wiring.give(name, passes["from"], n - pile), leaving, (0, index))

    def dead(self, place):
        kind, device, bank, n = place
        dead = self.devices[device].get("out_of_use", [])
        return kind == "bank" and n in dead and self.wiring[device].banks[bank]["role"] == "in"

    def flow(self):
        """Lets every source run. Gives what each place carries: (source, path, meets another)."""
        feeds, carried, queue = defaultdict(dict), {}, deque()

        def arrive(place, rank, value):
            if self.dead(place):
                return
            feeds[place][rank] = value
            best = min(feeds[place])
            mixed = any(v[0] != feeds[place][best][0] or v[2] for v in feeds[place].values())
            now = (*feeds[place][best][:2], mixed)
            if carried.get(place) != now:
                carried[place] = now
                queue.append(place)

        for name, wiring in self.wiring.items():
            for bank, facts in wiring.banks.items():
                if facts["role"] == "origin":
                    for n in range(1, facts["size"] + 1):
                        point = f"{name}.{bank} {n}"
                        arrive(("bank", name, bank, n), (0, 0), (point, (point,), False))
        for plug in self.plugs:
            device, bank, n, _ = split_point(plug["at"])
            arrive(("bank", device, bank, n), (0, 0), (plug["source"], (plug["at"],), False))
        while queue:
            place = queue.popleft()
            source, path, mixed = carried[place]
            for target, rank, slot in self.joins.get(place, ()):
                kind, device, item, n = target
                if kind == "bank" and self.wiring[device].banks[item]["role"] == "origin":
                    continue
                step = (f"{device}.{item} {n}",) if kind == "bank" else (slot,) if slot else ()
                # A slot may be met twice, once each way; nothing else may.
                if any(path.count(name) > (kind == "arrive") for name in step):
                    raise ValueError(f"a loop through {step[0]}")
                arrive(target, rank, (source, path + step, mixed))
        return carried

    def ends(self):
        """What is heard at every end point: end to (source, path)."""
        heard, faults = {}, []
        for (kind, device, item, n), (source, path, mixed) in self.flow().items():
            if kind == "bank" and self.wiring[device].banks[item]["end"]:
                heard[f"{device}.{item} {n}"] = (source, list(path))
                if mixed:
                    faults.append(f"{device}.{item} {n}: two sources meet")
        return heard, faults

    def bank(self, place):
        return self.wiring[place[1]].banks[place[2]]

    def copper(self, place, path, stops, transformers=False):
        """Every way by copper from a socket to a preamp: no preamp is passed, and no transformer unless asked."""
        kind, device, item, n = place
        name = f"{device}.{item} {n}"
        if self.dead(place) or name in path or (self.bank(place).get("isolated") and not transformers):
            return
        path = [*path, name]
        if stops(self.bank(place)):
            yield place, path
            return
        for target, rank, _ in self.joins.get(place, ()):
            if target[0] == "bank" and rank[0] in (RUN, COPY, FIXED):
                yield from self.copper(target, path, stops, transformers)

    def trim_faults(self):
        """Gain and pad: set at the preamps for which plugs and what gear gives state them, and nowhere else."""
        asked = {}
        faults = []
        for plug in self.plugs + self.given:
            device, bank, n, _ = split_point(plug["at"])
            preamp = lambda bank: bank["role"] == "in" and any(bank.get(key) for key in ("phantom", "gain_db"))
            ways = self.copper(("bank", device, bank, n), [], preamp, transformers=True)
            wired = {path[-1] for _, path in ways}
            for wish in plug.get("preamps", []):
                if wish["at"] not in wired:
                    faults.append(f"{plug['at']}: `{plug['source']}` does not come by {wish['at']}")
                asked |= {(wish["at"], "gain"): wish["gain_db"]} if "gain_db" in wish else {}
                asked |= {(wish["at"], "pad"): True} if wish.get("pad") else {}
        for at, what in sorted(asked.keys() | self.trims.keys()):
            wished, found = asked.get((at, what)), self.trims.get((at, what))
            if wished != found:
                faults.append(f"{at}: {what} {found} is set; rows state {wished}")
        return faults

    def supplies(self):
        """Who is not given 48 V as the plan says, and what has it on for nobody."""
        faults, used = [], set()
        for plug in self.plugs:
            device, bank, n, _ = split_point(plug["at"])
            start, claimed = ("bank", device, bank, n), plug.get("phantom_path", [])
            ways = list(self.copper(start, [], lambda bank: bank["phantom"])) if plug.get("phantom") else []
            giving = [(place, path) for place, path in ways if place in self.powered]
            used |= {place for place, _ in giving}
            if claimed not in [path for _, path in giving] and (giving or claimed):
                tell = lambda path: " > ".join(path) or "no way"
                ours = " or ".join(tell(path) for _, path in giving) or "no way"
                faults.append(f"{plug['at']}: recomputed 48 V by {ours}; the plan says by {tell(claimed)}")
            if ways and not giving:
                faults.append(f"{plug['at']}: nobody gives it 48 V")
        groups = lambda place: (place[1], place[2], (place[3] - 1) // (self.bank(place)["phantom"] or 1))
        for device, bank, group in sorted(set(map(groups, self.powered)) - set(map(groups, used))):
            faults.append(f"{device}.{bank}, switch {group + 1}: 48 V on for nobody")
        return faults

    def chains(self):
        """For every end that is heard: what has a switch on its way, the first that is switched on first."""
        plugs = {plug["source"]: plug for plug in self.plugs}
        for place, (source, path, _) in self.flow().items():
            if place[0] != "bank" or not self.bank(place)["end"]:
                continue
            way = [("source", source)] if source in plugs and self.has_switch(plugs[source]) else []
            for point in path:
                device, item, _, _ = split_point(point)
                far = self.links.get((device, item), (device,))[0]
                here = [far, device] if way[-1:] == [("device", far)] else [device, far]
                way += [("device", name) for name in here if way[-1:] != [("device", name)]]
            yield [gear for gear in way if gear[0] == "source" or self.mains[gear[1]]]

    def role(self, point):
        device, item, _, _ = split_point(point)
        return self.wiring[device].banks[item]["role"]

    def has_switch(self, plug):
        source = self.sources.get(plug["source"], {})
        kind = self.kinds.get(source.get("kind"), {})
        return kind.get("mains") and source.get("pickup") not in ("passive", "piezo")


QUIET = ("broadcast", "press", "record", "effects", "comms")


def power_faults(plan, rigs):
    """What is not switched on once, after all that leads to it, and before what makes the sound."""
    gear, sounding, feeds = set(), set(), defaultdict(set)
    for rig in rigs:
        gear |= {("device", name) for name in rig.devices if rig.mains[name]}
        gear |= {("source", plug["source"]) for plug in rig.plugs if rig.has_switch(plug)}
        for way in rig.chains():
            for before, after in zip(way, way[1:]):
                feeds[before] |= {after} - {before}
        ends = [(signal["source"], end) for signal in rig.signals for end in signal["ends"]]
        heard, passing = [end for _, end in ends if end["asked"]], set()
        for end in heard:
            device, item, _, _ = split_point(end["end"])
            facts, wiring = rig.devices[device], rig.wiring[device]
            role = wiring.banks[item]["role"]
            gives = wiring.ports or any(bank["role"] != "in" for bank in wiring.banks.values())
            if end.get("use") in QUIET or role not in ("in", "out"):
                continue
            if role == "out" and facts["role"] != "hub":
                sounding.add(("output", end["end"]))
            elif role == "in" and not gives:
                sounding.add(("device", device))
            elif role == "in" and device not in passing:
                # It takes what is to be heard and gives it on: what takes that is heard too.
                passing.add(device)
                mine = [end for source, end in ends if " " in source and split_point(source)[0] == device]
                heard += [end for end in mine if not end["asked"] and rig.role(end["end"]) == "in"]
    listed = []
    for number, step in enumerate(plan.get("power", [])):
        listed += [(("source", name), number) for name in step.get("sources", [])]
        listed += [(("device", entry["device"]), number) for entry in step.get("devices", [])]
        listed += [(("output", at), number) for at in step.get("outputs", [])]
    turns, faults = dict(listed), []
    if len(turns) != len(listed) or set(turns) != gear | sounding:
        odd = sorted(set(turns) ^ (gear | sounding)) or "something twice"
        return [f"power: what has a switch is not what is listed: {odd}"]

    def beyond(start):
        found, open_ = set(), [start]
        while open_:
            new = feeds[open_.pop()] - found
            found |= new
            open_ += new
        return found

    reached = {one: beyond(one) for one in turns}
    for before in turns:
        for after in reached[before]:
            both = before in reached[after]
            if (turns[before] != turns[after]) if both else (turns[before] >= turns[after]):
                faults.append(f"power: {after[1]} is not on {'with' if both else 'after'} {before[1]}")
    quiet = [turns[one] for one in turns if one not in sounding]
    fed = {after for afters in feeds.values() for after in afters} | {before for before in feeds if feeds[before]}
    idle = {one for one in gear - sounding if one[0] == "device" and one not in fed}
    links = defaultdict(set)
    for rig in rigs:
        for (near, _), (far, _) in rig.links.items():
            if rig.mains[near] and rig.mains[far]:
                links["device", near].add(("device", far))

    def met(start):
        found, open_ = set(), [start]
        while open_:
            new = links[open_.pop()] - found
            found |= new
            open_ += new & idle
        return found - idle - sounding

    for one in sorted(turns):
        if one in sounding:
            least = max(quiet, default=-1) + 1
        elif one in idle:
            least = min((turns[other] for other in met(one)), default=0)
        else:
            before = [turns[b] for b in turns if one in reached[b] and b not in reached[one] and b not in sounding]
            least = max(before, default=-1) + 1
        if turns[one] != least:
            faults.append(f"power: {one[1]} is on in step {turns[one] + 1}, not in {least + 1}")
    for number, step in enumerate(plan.get("power", [])):
        here = [one for one in turns if turns[one] == number]
        told = "they make the sound: on last, off first"
        if not set(here) & sounding:
            told = reason(here, feeds, sorted(one[1] for one in idle & set(here) if links[one]))
        if step["why"] != told:
            faults.append(f"power, step {number + 1}: `{step['why']}`; recomputed `{told}`")
    return faults


def reason(here, feeds, idle):
    """Why a step stands where it does, by who feeds it."""
    feeders = {before for before in feeds if feeds[before] & set(here)}
    names = sorted(before[1] for before in feeders - set(here) if before[0] == "device")
    names = ["the sources"] * any(before[0] == "source" for before in feeders - set(here)) + names
    both, listed = feeders & set(here), lambda names: ", ".join(names[:-2] + [" and ".join(names[-2:])])
    if len(names) > 6:
        names[6:] = [f"{len(names) - 6} more"]
    if names:
        told = f"fed by {listed(names)}" + ", and by each other" * bool(both)
    else:
        told = "they feed each other, and no other gear feeds them" if both else "no other gear feeds them"
    return told + (f"; nothing runs over the links of {listed(idle)}" if idle else "")


def claims(plan, act):
    claimed, faults = {}, []
    for signal in plan["signals"] + (act or {}).get("signals", []):
        for end in signal["ends"]:
            if end["end"] in claimed:
                faults.append(f"{end['end']}: claimed twice")
            claimed[end["end"]] = (signal["source"], end["path"])
    return claimed, faults


def differences(plan):
    found = []
    rigs = [Rig(plan, act) for act in plan["acts"] or [None]]
    for act, rig in zip(plan["acts"] or [None], rigs):
        heard, faults = rig.ends()
        faults += rig.supplies() + rig.trim_faults()
        claimed, doubled = claims(plan, act)
        lines = faults + doubled
        for end in sorted(heard.keys() | claimed.keys()):
            ours, theirs = heard.get(end), claimed.get(end)
            if ours != theirs:
                tell = lambda value: f"{value[0]} by {' > '.join(value[1])}" if value else "silence"
                lines.append(f"{end}: recomputed {tell(ours)}; the plan says {tell(theirs)}")
        found += [f"in {act['act']}, {line}" if act else line for line in lines]
    return found + power_faults(plan, rigs)


def main(arguments):
    if not arguments:
        print(__doc__, file=sys.stderr)
        return 2
    files = []
    for argument in map(Path, arguments):
        files += sorted(argument.glob("*.json")) if argument.is_dir() else [argument]
    worst = 0
    for file in files:
        try:
            plan = json.loads(file.read_text(encoding="utf-8"))
        except (OSError, ValueError) as error:
            print(f"{file}: {error}", file=sys.stderr)
            worst = 2
            continue
        try:
            lines = differences(plan)
        except (KeyError, IndexError, TypeError, ValueError) as error:
            lines = [f"cannot be followed: {error!r}"]
        for line in lines:
            print(f"{file}: {line}")
        worst = max(worst, 1 if lines else 0)
    return worst


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
