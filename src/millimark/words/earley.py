"""Earley's parser over the compiled table of the grammar, one tree for each sentence.

An unreadable sentence gives a ``Stop``: the place, and every terminal that could have
stood there. Of two readings the one whose rule stands first in the grammar is taken.
J. Earley, An efficient context-free parsing algorithm, 1970; empty rules after Aycock and
Horspool, 2002; items that the next word rules out are not followed, so that a sentence of
thirty words takes about a millisecond.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

END = -1
Item = tuple[int, int]
"""A state (a rule with a dot in it) and the place where the rule began."""


class Word(str):
    """A token: its text, its terminal's name, and its columns from 0 in the sentence."""

    __slots__ = ("kind", "start", "stop")
    kind: str
    start: int
    stop: int

    @classmethod
    def of(cls, text: str, kind: str, start: int, stop: int) -> Word:
        """A token with its place."""
        word = cls(text)
        word.kind, word.start, word.stop = kind, start, stop
        return word


class Rule(NamedTuple):
    """A rule: symbols by number, the name of its node, and how its children are kept."""

    origin: int
    symbols: tuple[int, ...]
    name: str
    kept: tuple[bool, ...]
    inlined: bool
    single: bool


@dataclass(frozen=True)
class Node:
    """A node of the tree: the rule's name and what its symbols became."""

    name: str
    children: tuple[Node | Word, ...]


@dataclass(frozen=True)
class Stop:
    """Where reading stopped: the number of the first token that fits nothing (all tokens
    fit if it is their count) and the names of the terminals that would have."""

    place: int
    expected: tuple[str, ...]


class Table:
    """The grammar's rules with what the parser looks up: states, first sets, empty symbols."""

    def __init__(self, terminals: Sequence[str], rules: Sequence[Rule], starts: dict[str, int]):
        self.terminals = tuple(terminals)
        self.rules = tuple(rules)
        self.starts = starts
        self.number = {name: i for i, name in enumerate(terminals)}
        self.of: dict[int, list[int]] = {}
        for i, rule in enumerate(rules):
            self.of.setdefault(rule.origin, []).append(i)
        self.empty = self._empty_symbols()
        self.first = self._first_sets()
        self._states()
        self._predicted: dict[tuple[int, int], tuple[int, ...]] = {}

    def terminal(self, symbol: int) -> bool:
        """Whether a symbol is a terminal; terminals have the lowest numbers."""
        return symbol < len(self.terminals)

    def _empty_symbols(self) -> set[int]:
        empty: set[int] = set()
        grown = True
        while grown:
            grown = False
            for rule in self.rules:
                if rule.origin not in empty and all(s in empty for s in rule.symbols):
                    empty.add(rule.origin)
                    grown = True
        return empty

    def _first_sets(self) -> dict[int, int]:
        """Which terminals each symbol can begin with, as bits."""
        first = {i: 1 << i for i in range(len(self.terminals))}
        first.update(dict.fromkeys(self.of, 0))
        grown = True
        while grown:
            grown = False
            for rule in self.rules:
                bits = first[rule.origin] | self._begins(rule.symbols, first)
                grown |= bits != first[rule.origin]
                first[rule.origin] = bits
        return first

    def _begins(self, symbols: Sequence[int], first: dict[int, int]) -> int:
        bits = 0
        for symbol in symbols:
            bits |= first[symbol]
            if symbol not in self.empty:
                break
        return bits

    def _states(self) -> None:
        """Number each rule with a dot: ``next`` symbol (END at the end), bits that can follow."""
        self.entry: list[int] = []
        self.next: list[int] = []
        self.rule_of: list[int] = []
        self.follows: list[int] = []
        self.closes: list[bool] = []
        for i, rule in enumerate(self.rules):
            self.entry.append(len(self.next))
            for dot in range(len(rule.symbols) + 1):
                rest = rule.symbols[dot:]
                self.next.append(rest[0] if rest else END)
                self.rule_of.append(i)
                self.follows.append(self._begins(rest, self.first))
                self.closes.append(all(s in self.empty for s in rest))

    def predicted(self, symbol: int, token: int) -> tuple[int, ...]:
        """Entry states of a symbol's rules that can begin with ``token`` (END: with none)."""
        key = (symbol, token)
        if key not in self._predicted:
            entries = (self.entry[i] for i in self.of[symbol])
            self._predicted[key] = tuple(s for s in entries if self.viable(s, token))
        return self._predicted[key]

    def viable(self, state: int, token: int) -> bool:
        """Whether what is left of a state can begin with ``token`` or be empty."""
        return self.closes[state] or (token >= 0 and bool(self.follows[state] >> token & 1))


class Chart:
    """The parse of one sentence: items by place, and which symbols are complete where."""

    def __init__(self, table: Table, words: Sequence[Word], start: str) -> None:
        self.table = table
        self.words = words
        self.goal = table.starts[start]
        self.tokens = [table.number.get(w.kind, len(table.terminals) + 1) for w in words]
        self.done: list[dict[Item, list[int]]] = []
        self.wants: list[dict[int, list[Item]]] = []
        self.kernels: list[list[Item]] = [[(s, 0) for s in self._entries()]]

    def _entries(self) -> list[int]:
        return [self.table.entry[i] for i in self.table.of[self.goal]]

    def run(self) -> Stop | None:
        """Read all words; where they cannot be read, say so."""
        for place in range(len(self.words) + 1):
            self.done.append({})
            self.wants.append({})
            token = self.tokens[place] if place < len(self.words) else END
            scanned = self._close(place, self.kernels[place], token)
            if place == len(self.words):
                if (self.goal, 0) in self.done[place]:
                    return None
                return Stop(place, self._expected(place))
            if not scanned:
                return Stop(place, self._expected(place))
            self.kernels.append(scanned)
        return None

    def _close(self, place: int, kernel: Sequence[Item], token: int) -> list[Item]:
        """Follow all items of a place; what the next token moves on is returned."""
        table, wants, done = self.table, self.wants[place], self.done[place]
        seen = set(kernel)
        work = [item for item in kernel if table.viable(item[0], token)]
        scanned: list[Item] = []
        while work:
            item = work.pop()
            state, start = item
            symbol = table.next[state]
            if symbol == END:
                rule = table.rule_of[state]
                origin = table.rules[rule].origin
                done.setdefault((origin, start), []).append(rule)
                moved = [(s + 1, b) for s, b in self.wants[start].get(origin, ())]
            elif table.terminal(symbol):
                if symbol == token:
                    scanned.append((state + 1, start))
                continue
            else:
                moved = self._predict(item, symbol, place, token, wants)
            for new in moved:
                if new not in seen and table.viable(new[0], token):
                    seen.add(new)
                    work.append(new)
        return scanned

    def _predict(
        self, item: Item, symbol: int, place: int, token: int, wants: dict[int, list[Item]]
    ) -> list[Item]:
        moved: list[Item] = []
        if symbol not in wants:
            wants[symbol] = []
            moved = [(s, place) for s in self.table.predicted(symbol, token)]
        wants[symbol].append(item)
        if symbol in self.table.empty:
            moved.append((item[0] + 1, item[1]))
        return moved

    def _expected(self, place: int) -> tuple[str, ...]:
        """Every terminal that could stand at ``place``, in the grammar's order."""
        table = self.table
        bits = 0
        seen: set[Item] = set()
        wanted: set[tuple[int, int]] = set()
        work = list(self.kernels[place])
        while work:
            item = work.pop()
            if item in seen:
                continue
            seen.add(item)
            state, start = item
            symbol = table.next[state]
            if symbol != END:
                bits |= table.follows[state]
                if table.closes[state]:
                    wanted.add((table.rules[table.rule_of[state]].origin, start))
            else:
                wanted.add((table.rules[table.rule_of[state]].origin, start))
            while wanted:
                origin, begun = wanted.pop()
                if begun < place:
                    work += [(s + 1, b) for s, b in self.wants[begun].get(origin, ())]
        return tuple(name for i, name in enumerate(table.terminals) if bits >> i & 1)


class Derivation:
    """The one tree of a chart that was read to its end."""

    def __init__(self, chart: Chart) -> None:
        self.chart = chart
        self.table = chart.table
        self._failed: set[tuple[int, int, int, int]] = set()

    def tree(self) -> Node:
        """The tree of the start symbol."""
        (node,) = self._symbol(self.chart.goal, 0, len(self.chart.words))
        if not isinstance(node, Node):
            raise TypeError("the start symbol is a terminal")
        return node

    def _symbol(self, symbol: int, start: int, stop: int) -> tuple[Node | Word, ...]:
        """What a symbol over words start..stop contributes to its parent's children."""
        rules = sorted(self.chart.done[stop].get((symbol, start), ()))
        if start == stop:
            rules = [i for i in self.table.of[symbol] if self.table.closes[self.table.entry[i]]]
        for i in rules:
            spans = self._spans(i, len(self.table.rules[i].symbols), start, stop)
            if spans is not None:
                return self._node(i, spans)
        raise LookupError(f"no rule of symbol {symbol} spans {start} to {stop}")

    def _node(self, i: int, spans: list[tuple[int, int]]) -> tuple[Node | Word, ...]:
        rule = self.table.rules[i]
        children: list[Node | Word] = []
        for symbol, kept, (start, stop) in zip(rule.symbols, rule.kept, spans, strict=True):
            if not self.table.terminal(symbol):
                children.extend(self._symbol(symbol, start, stop))
            elif kept:
                children.append(self.chart.words[start])
        if rule.inlined or (rule.single and len(children) == 1):
            return tuple(children)
        return (Node(rule.name, tuple(children)),)

    def _spans(self, rule: int, dot: int, start: int, stop: int) -> list[tuple[int, int]] | None:
        """Which words each of the first ``dot`` symbols of a rule covers, or None."""
        if dot == 0:
            return [] if start == stop else None
        key = (rule, dot, start, stop)
        if key in self._failed:
            return None
        symbol = self.table.rules[rule].symbols[dot - 1]
        for middle in self._begins(symbol, start, stop):
            before = self._spans(rule, dot - 1, start, middle)
            if before is not None:
                return [*before, (middle, stop)]
        self._failed.add(key)
        return None

    def _begins(self, symbol: int, start: int, stop: int) -> list[int]:
        """Where a symbol that ends at ``stop`` can begin, the latest first."""
        if self.table.terminal(symbol):
            fits = stop > start and self.chart.tokens[stop - 1] == symbol
            return [stop - 1] if fits else []
        found = [b for s, b in self.chart.done[stop] if s == symbol and b >= start]
        if symbol in self.table.empty:
            found.append(stop)
        return sorted(set(found), reverse=True)
