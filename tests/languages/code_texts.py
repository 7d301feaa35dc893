"""Every text of the code that reaches `phrase`: told from the code itself.

Where an argument is no literal it is followed: to both arms of a choice, to what a name was given,
to the table a row is taken of, to the calls of the function whose parameter it is, to the field of
the record it is kept in. `tests/test_whole_outputs.py` proves that nothing slips through: what
`phrase` is given while everything is shown is held to what is found here.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

PACKAGE = Path(__file__).resolve().parents[2] / "companion"
SHOWS = ("presentation", "ui", "app", "paper", "canvas")
"""The floors whose records hold words to be shown."""


class Text(NamedTuple):
    """What `phrase` is given: the text, its plural, its context."""

    one: str
    many: str | None = None
    context: str = ""


@dataclass
class _Module:
    name: str
    path: Path
    tree: ast.Module
    imported: dict[str, tuple[str, str]] = field(default_factory=dict)
    values: dict[str, list[ast.expr]] = field(default_factory=dict)
    functions: dict[str, list[ast.FunctionDef]] = field(default_factory=dict)
    classes: dict[str, ast.ClassDef] = field(default_factory=dict)


_CODE = re.compile(r"[a-z0-9]+([._][a-z0-9]+)+|")
Function = tuple[str, str]
"""A module and a function of it, or a class for its constructor."""


class Code:
    """The package, read once."""

    def __init__(self, package: Path = PACKAGE) -> None:
        self.found: dict[Text, set[str]] = {}
        self._modules = {one.name: one for one in _modules(package)}
        self._sinks: dict[Function, set[str]] = {}
        """Parameters that are handed on to `phrase`, by function; "*" for all of a row."""
        self._fields: set[str] = set()
        """Fields of shown records of which a text is said."""
        self._wordings = self._kinds("Wording")
        self._rows: list[tuple[_Module, ast.Call]] = []
        self._givers: dict[int, list[ast.AST]] = {}
        self._follow()

    def _kinds(self, base: str) -> set[str]:
        kinds, before = {base}, 0
        while len(kinds) > before:
            before = len(kinds)
            for module in self._modules.values():
                for name, made in module.classes.items():
                    if any(isinstance(b, ast.Name) and b.id in kinds for b in made.bases):
                        kinds.add(name)
        return kinds

    def _follow(self) -> None:
        before = (-1, -1, -1)
        walks = [_Follow(self, module) for module in self._modules.values()]
        while (now := (len(self.found), _size(self._sinks), len(self._fields))) != before:
            before = now
            for walk in walks:
                walk.follow()

    def rows(self) -> list[tuple[_Module, ast.Call]]:
        """Every row of words that is made."""
        if not self._rows:
            self._rows = [
                (module, made)
                for module in self._modules.values()
                for made in ast.walk(module.tree)
                if isinstance(made, ast.Call) and _called(made.func) in self._wordings
            ]
        return self._rows

    def givers(self, function: ast.FunctionDef) -> list[ast.AST]:
        """Where names within a function are given a value."""
        if id(function) not in self._givers:
            kinds = ast.Assign | ast.AnnAssign | ast.NamedExpr | ast.For | ast.comprehension
            self._givers[id(function)] = [n for n in ast.walk(function) if isinstance(n, kinds)]
        return self._givers[id(function)]

    def add(self, text: Text, module: _Module) -> None:
        """A text, and the file that says it."""
        if any(letter.isalpha() for letter in text.one) and not _CODE.fullmatch(text.one):
            place = module.path.relative_to(PACKAGE.parent).as_posix()
            self.found.setdefault(text, set()).add(place)

    def named(self, module: _Module, name: str) -> tuple[_Module, str] | None:
        """Where a name of a module of ours was given its value."""
        if name in module.values or name in module.functions or name in module.classes:
            return module, name
        if name in module.imported:
            source, original = module.imported[name]
            if source in self._modules:
                return self.named(self._modules[source], original)
        return None

    def texts_in(  # noqa: PLR0912 - a case for each kind of expression
        self, module: _Module, node: ast.AST, depth: int = 0
    ) -> Iterator[str]:
        """Every text in the place of a value of what stands in a table."""
        if depth > 12:
            return
        match node:
            case ast.Constant(value=str() as text):
                yield text
            case ast.Dict(values=values) | ast.Tuple(elts=values) | ast.List(elts=values):
                for value in values:
                    yield from self.texts_in(module, value, depth + 1)
            case ast.IfExp(body=one, orelse=other):
                yield from self.texts_in(module, one, depth + 1)
                yield from self.texts_in(module, other, depth + 1)
            case ast.BoolOp(values=values):
                for value in values:
                    yield from self.texts_in(module, value, depth + 1)
            case ast.BinOp(left=left, op=ast.BitOr(), right=right):
                yield from self.texts_in(module, left, depth + 1)
                yield from self.texts_in(module, right, depth + 1)
            case ast.Call(args=args, keywords=keywords):
                for value in (*args, *(word.value for word in keywords)):
                    yield from self.texts_in(module, value, depth + 1)
            case ast.Starred(value=value) | ast.DictComp(value=value):
                yield from self.texts_in(module, value, depth + 1)
            case ast.Name(id=name):
                where = self.named(module, name)
                if where is not None:
                    for value in where[0].values.get(where[1], ()):
                        yield from self.texts_in(where[0], value, depth + 1)
            case ast.Attribute(value=ast.Name(id=name), attr=attr):
                source = module.imported.get(name)
                if source and (held := self._modules.get(".".join(source))):
                    for value in held.values.get(attr, ()):
                        yield from self.texts_in(held, value, depth + 1)


class _Follow(ast.NodeVisitor):
    """One walk over one module: adds what it finds to the code's texts, sinks and fields."""

    def __init__(self, code: Code, module: _Module) -> None:
        self._code, self._module = code, module
        self._within: list[ast.FunctionDef] = []
        self._class: list[str] = []
        self._looking: set[tuple[int, str]] = set()
        self._calls: list[tuple[ast.Call, list[ast.FunctionDef], list[str]]] = []
        self.visit(module.tree)

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        self._class.append(node.name)
        self.generic_visit(node)
        self._class.pop()

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        self._within.append(node)
        self.generic_visit(node)
        self._within.pop()

    def visit_Call(self, node: ast.Call) -> None:
        self.generic_visit(node)
        self._calls.append((node, list(self._within), list(self._class)))

    def follow(self) -> None:
        """Go over every call once more, with what is known by now."""
        for node, within, classes in self._calls:
            self._within, self._class = within, classes
            self._call(node)

    def _call(self, node: ast.Call) -> None:
        name = _called(node.func)
        if name == "phrase":
            self._phrase(node)
            return
        if name in self._code._wordings and name != "Wording":
            for value in node.args:
                for text in self._code.texts_in(self._module, value):
                    self._code.add(Text(text), self._module)
        elif name == "CodeTable" and len(node.args) == 2:
            self._rows(node.args[1])
        elif name == "counted" and len(node.args) == 3:
            self._counted(node)
        self._handed_on(node, name)
        self._kept(node, name)

    def _rows(self, rows: ast.expr) -> None:
        values = rows.values if isinstance(rows, ast.Dict) else [rows]
        for value in values:
            if not (isinstance(value, ast.Call) and _called(value.func) != "CodeTable"):
                for text in self._code.texts_in(self._module, value):
                    self._code.add(Text(text), self._module)

    def _counted(self, node: ast.Call) -> None:
        """Two columns of every row of the wordings that have both are one and many."""
        one, many = (str(getattr(arg, "value", "")) for arg in node.args[:2])
        for module, made in self._code.rows():
            columns = self._columns(_called(made.func))
            if one in columns and many in columns and len(made.args) == len(columns):
                pair = [made.args[columns.index(column)] for column in (one, many)]
                if all(isinstance(part, ast.Constant) for part in pair):
                    first, second = (str(getattr(part, "value", "")) for part in pair)
                    self._code.add(Text(first, second), module)

    def _columns(self, name: str) -> list[str]:
        for module in self._code._modules.values():
            if name in module.classes and name in self._code._wordings:
                made = module.classes[name]
                base = next((b.id for b in made.bases if isinstance(b, ast.Name)), "")
                own = [
                    s.target.id
                    for s in made.body
                    if isinstance(s, ast.AnnAssign) and isinstance(s.target, ast.Name)
                ]
                return (self._columns(base) if base != "Wording" else []) + own
        return []

    def _phrase(self, node: ast.Call) -> None:
        context = next(
            (str(getattr(k.value, "value", "")) for k in node.keywords if k.arg == "context"), ""
        )
        many = node.args[1] if len(node.args) > 1 else None
        if many is not None and all(isinstance(a, ast.Constant) for a in node.args):
            one, other = (str(getattr(a, "value", "")) for a in node.args)
            self._code.add(Text(one, other, context), self._module)
        elif many is None:
            self._said(node.args[0], context)
        else:
            pairs = zip(*(list(self._values(a)) for a in node.args), strict=False)
            for one, other in pairs:
                self._code.add(Text(one, other, context), self._module)

    def _values(self, node: ast.expr) -> Iterator[str]:
        yield from self._code.texts_in(self._module, node)

    def _said(self, node: ast.expr, context: str = "", depth: int = 0) -> None:
        """This expression is said: what may it be?"""
        if depth > 8:
            return
        match node:
            case ast.Constant(value=str() as text):
                self._code.add(Text(text, None, context), self._module)
            case ast.IfExp(body=one, orelse=other):
                self._said(one, context, depth + 1)
                self._said(other, context, depth + 1)
            case ast.BoolOp(values=values):
                for value in values:
                    self._said(value, context, depth + 1)
            case ast.NamedExpr(value=value):
                self._said(value, context, depth + 1)
            case ast.Name(id=name):
                self._said_name(name, depth + 1)
            case (
                ast.Subscript(value=base)
                | ast.Call(func=ast.Attribute(value=base, attr="get" | "pop"))
            ):
                self._said_table(base, depth)
            case ast.Call(func=ast.Name(id=name)):
                self._said_function(name)
            case ast.Attribute(attr=attr):
                self._code._fields.add(attr)
                for text in self._code.texts_in(self._module, node):
                    self._code.add(Text(text), self._module)

    def _said_table(self, base: ast.expr, depth: int) -> None:
        for text in self._code.texts_in(self._module, base):
            self._code.add(Text(text), self._module)
        match base:
            case ast.Name(id=name):
                self._said_name(name, depth + 1)
            case ast.Subscript(value=inner):
                self._said_table(inner, depth + 1)
            case ast.Dict():
                for text in self._code.texts_in(self._module, base):
                    self._code.add(Text(text), self._module)
            case ast.Attribute(attr=attr):
                self._code._fields.add(attr)

    def _said_function(self, name: str) -> None:
        """What a function of this module gives back."""
        where = self._code.named(self._module, name)
        for function in where[0].functions.get(where[1], ()) if where else ():
            for inner in ast.walk(function):
                if isinstance(inner, ast.Return) and inner.value is not None:
                    for text in self._code.texts_in(
                        where[0] if where else self._module, inner.value
                    ):
                        self._code.add(Text(text), self._module)

    def _said_name(self, name: str, depth: int) -> None:
        if depth > 8:
            return
        for function in reversed(self._within):
            arguments = function.args
            if name in {
                a.arg for a in (*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs)
            }:
                owner = function.name
                if owner == "__init__" and self._class:
                    owner = self._class[-1]
                self._code._sinks.setdefault((self._module.name, owner), set()).add(name)
            if (id(function), name) in self._looking:
                continue
            self._looking.add((id(function), name))
            for inner in self._code.givers(function):
                self._assigned(inner, name, depth)
            self._looking.discard((id(function), name))
        for text in self._code.texts_in(self._module, ast.Name(id=name)):
            self._code.add(Text(text), self._module)

    def _assigned(self, inner: ast.AST, name: str, depth: int) -> None:
        match inner:
            case ast.Assign(targets=targets, value=value):
                for target in targets:
                    if isinstance(target, ast.Name) and target.id == name:
                        self._said(value, "", depth + 1)
                    elif isinstance(target, ast.Tuple) and _names(target, name):
                        self._said_part(target, value, name, depth)
            case ast.AnnAssign(target=ast.Name(id=found), value=value) if (
                found == name and value is not None
            ):
                self._said(value, "", depth + 1)
                self._said_table(value, depth + 1)
            case ast.NamedExpr(target=ast.Name(id=found), value=value) if found == name:
                self._said(value, "", depth + 1)
            case (
                ast.For(target=target, iter=over) | ast.comprehension(target=target, iter=over)
            ) if _names(target, name):
                self._said_table(over, depth + 1)
                if isinstance(over, ast.Call):
                    for argument in over.args:
                        self._said_table(argument, depth + 1)
                    if isinstance(over.func, ast.Attribute):
                        self._said_table(over.func.value, depth + 1)
                if isinstance(over, ast.BinOp | ast.Tuple | ast.List):
                    for part in ast.walk(over):
                        if isinstance(part, ast.Constant) and isinstance(part.value, str):
                            self._code.add(Text(part.value), self._module)

    def _said_part(self, target: ast.Tuple, value: ast.expr, name: str, depth: int) -> None:
        held = [getattr(e, "id", None) for e in target.elts]
        if name not in held:
            return
        place = held.index(name)
        if isinstance(value, ast.Tuple) and len(value.elts) == len(target.elts):
            self._said(value.elts[place], "", depth + 1)
        elif isinstance(value, ast.IfExp):
            self._said_part(target, value.body, name, depth)
            self._said_part(target, value.orelse, name, depth)
        else:
            self._said_table(value, depth + 1)

    def _handed_on(self, node: ast.Call, name: str) -> None:
        where = self._code.named(self._module, name)
        if where is None and isinstance(node.func, ast.Attribute):
            where = (self._module, name)
            base = node.func.value
            if isinstance(base, ast.Name) and base.id in self._module.imported:
                source = ".".join(self._module.imported[base.id])
                if source in self._code._modules:
                    where = (self._code._modules[source], name)
        if where is None:
            return
        sinks = self._code._sinks.get((where[0].name, where[1]))
        if not sinks:
            return
        for function in where[0].functions.get(where[1], ()):
            names = [a.arg for a in (*function.args.posonlyargs, *function.args.args)]
            if names[:1] in (["self"], ["cls"]):
                names = names[1:]
            for parameter, value in zip(names, node.args, strict=False):
                if parameter in sinks:
                    self._said(value)
            for word in node.keywords:
                if word.arg in sinks:
                    self._said(word.value)

    def _kept(self, node: ast.Call, name: str) -> None:
        """A record of what is shown is made: are there fields of it that are said?"""
        where = self._code.named(self._module, name)
        if where is not None and where[1] in where[0].values:  # F = FieldWords
            value = where[0].values[where[1]][0]
            where = self._code.named(where[0], value.id) if isinstance(value, ast.Name) else where
        if where is None or where[1] not in where[0].classes:
            return
        if where[0].name.split(".")[1] not in SHOWS or where[0].name.endswith("view.page"):
            return  # what a page holds has been said already
        made = where[0].classes[where[1]]
        fields = [
            s.target.id
            for s in made.body
            if isinstance(s, ast.AnnAssign)
            and isinstance(s.target, ast.Name)
            and "str" in ast.unparse(s.annotation)
        ]
        every = [
            s.target.id
            for s in made.body
            if isinstance(s, ast.AnnAssign) and isinstance(s.target, ast.Name)
        ]
        given = [*zip(every, node.args, strict=False)]
        given += [(word.arg, word.value) for word in node.keywords if word.arg]
        plain = ast.Constant | ast.IfExp | ast.Tuple | ast.Name
        for one, value in given:
            if one in fields and one in self._code._fields and isinstance(value, plain):
                for text in self._code.texts_in(self._module, value):
                    self._code.add(Text(text), self._module)


def _called(func: ast.expr) -> str:
    match func:
        case ast.Name(id=name) | ast.Attribute(attr=name):
            return name
    return ""


def _names(target: ast.expr, name: str) -> bool:
    return any(isinstance(n, ast.Name) and n.id == name for n in ast.walk(target))


def _size(sinks: dict[Function, set[str]]) -> int:
    return sum(map(len, sinks.values()))


def _modules(package: Path) -> Iterator[_Module]:
    for path in sorted(path for floor in SHOWS for path in (package / floor).rglob("*.py")):
        name = ".".join(path.relative_to(package.parent).with_suffix("").parts)
        tree = ast.parse(path.read_text(encoding="utf-8"))
        module = _Module(name.removesuffix(".__init__"), path, tree)
        for node in ast.walk(tree):
            match node:
                case ast.ImportFrom(module=str() as source, names=names):
                    for alias in names:
                        module.imported[alias.asname or alias.name] = (source, alias.name)
                case ast.FunctionDef(name=found):
                    module.functions.setdefault(found, []).append(node)
                case ast.ClassDef(name=found):
                    module.classes[found] = node
                    for inner in node.body:
                        if isinstance(inner, ast.FunctionDef) and inner.name == "__init__":
                            module.functions.setdefault(found, []).append(inner)
        for node in tree.body:
            match node:
                case ast.Assign(targets=[ast.Name(id=found)], value=value):
                    module.values.setdefault(found, []).append(value)
                case ast.AnnAssign(target=ast.Name(id=found), value=ast.expr() as value):
                    module.values.setdefault(found, []).append(value)
        yield module
