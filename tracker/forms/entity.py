"""An entity is declared once: its form on a page, its table in a file and in the manual, and its part of a judge line.

A page is read by marshmallow. For files and lines, of which ten thousand come at a time, each schema is turned once
into a flat `Shape` of the same fields' readers (DEVELOPERS.md, D13).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from dataclasses import fields as dataclass_fields
from datetime import date
from enum import StrEnum
from functools import cache, partial
from json import dumps
from typing import Any, ClassVar, TypeVar

from marshmallow import missing, post_load

from tracker.domain.cones import Cone
from tracker.domain.message import Message
from tracker.domain.quantities import Units
from tracker.domain.studio.leach_tests import Result
from tracker.forms.fields import FILE, LINE, PAGE, UNITS, Typed, Within, invalid
from tracker.forms.page_forms import Form, FormSchema, read_form
from tracker.forms.plain_values import Shape, Tables, Values, Wrong, as_sentence

Entity = TypeVar("Entity")
Shown = dict[str, list[str]]
"""The fields of a form, each with the texts a browser would send."""


class EntitySchema(FormSchema[Entity]):
    """What is told of one kind of entity, which a file calls by its `word`; `makes` it of its facts.

    With `old` the form changes one that is there. In a file just one of several `ways` of measuring it is told.
    `legends` are the hints that stand under a legend of the form.
    """

    word: ClassVar[str] = ""
    ways: ClassVar[tuple[tuple[str, ...], ...]] = ()
    legends: ClassVar[Mapping[str, str]] = {}

    def __init__(self, old: Entity | None = None) -> None:
        """Leave out what is not asked on this page."""
        facts = self.facts(PAGE)
        super().__init__(only=[name for name, one in facts.items() if old is None or not one.fixed])
        self.old = old

    @classmethod
    def facts(cls, where: Within) -> dict[str, Typed]:
        """The facts that are told there, by name, in the order in which they are declared."""
        declared: Mapping[str, Any] = cls._declared_fields
        return {name: one for name, one in declared.items() if where in one.within}

    @classmethod
    def checked(cls, values: Values, where: Within) -> Values:  # noqa: ARG003 -- for those who need it
        """The facts, once they agree with each other; `Wrong` about the first that does not."""
        return values

    @classmethod
    def made(cls, values: Values, where: Within) -> Any:  # noqa: ANN401 -- an entity, or for a part of one perhaps nothing
        """The entity that these facts make."""
        return cls.makes(**cls.without_blanks(cls.checked(values, where), where))

    @staticmethod
    def without_blanks(values: Values, where: Within) -> Values:
        """The facts without those that a page sends nothing for: the entity itself says what counts then."""
        return {name: one for name, one in values.items() if one is not None} if where is PAGE else values

    @classmethod
    def told(cls, entity: Any) -> Values:  # noqa: ANN401 -- an entity of the schema's kind
        """The facts of an entity by the names they have here."""
        return {name: getattr(entity, name) for name in cls._declared_fields}

    @post_load(pass_original=True)
    def make(self, values: Values, sent: Values, **_context: object) -> Any:  # noqa: ANN401 -- as above
        """Make the entity, or change the old one; what is not asked, or was left as it was shown, stays the same."""
        try:
            if self.old is None:
                return self.made(values, PAGE)
            changed = self.checked(values, PAGE)
        except Wrong as wrong:
            name = _typed(self.fields[str(wrong.path[0])]).sent_name
            raise invalid(as_sentence(wrong.message), name) from None
        before, units = self.told(self.old), sent[UNITS]
        changed |= {
            name: kept(kind_inside(one), before[name], now, units)
            for name, now in changed.items()
            if (one := _typed(self.fields[name])).control == "part" and before[name] is not None and now is not None
        }
        changed = {name: one for name, one in changed.items() if not self._is_as_before(name, before[name], one, sent)}
        return replace(self.old, **changed)  # type: ignore[type-var]  # every entity is a dataclass

    def _is_as_before(self, name: str, before: object, now: object, sent: Values) -> bool:
        """Whether a fact was left as it was shown: a page may say less of it than there is."""
        one = _typed(self.fields[name])
        texts, units = sent.get(one.sent_name, []), sent[UNITS]
        return one.shown(before, units) in (texts if isinstance(texts, list) else [texts], one.shown(now, units))


# ---- on a page ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Section:
    """Some fields of a form that belong together under a legend, line by line; most stand alone without one."""

    legend: str
    hint: str | Message
    rows: tuple[tuple[Typed, ...], ...]


def read_entity(
    kind: type[EntitySchema[Entity]], form: Form, old: Entity | None = None, units: Units = Units.METRIC
) -> Entity:
    """The entity that a form tells of in `units`, or the `old` one as it is changed; `BadForm` with every problem."""
    return read_form(kind(old), form, units)


def kept(kind: type[EntitySchema[Any]], before: Any, now: Any, units: Units) -> Any:  # noqa: ANN401 -- an entity of the kind
    """`now`, but each fact of it that a page in `units` shows like that of `before` is exactly what it was."""
    facts: Values = {}
    for name in {one.name for one in dataclass_fields(now)} & set(kind.facts(PAGE)):
        one, was, told = kind.facts(PAGE)[name], getattr(before, name), getattr(now, name)
        if one.control == "part" and was is not None and told is not None:
            facts[name] = kept(kind_inside(one), was, told, units)
        elif one.shown(was, units) == one.shown(told, units):
            facts[name] = was
    return replace(now, **facts)


def shown_entity(kind: type[EntitySchema[Any]], entity: object, units: Units = Units.METRIC) -> Shown:
    """The fields of the form for an entity that is there, for whoever uses `units`."""
    told = kind.told(entity)
    texts: Shown = {}
    for name, one in kind.facts(PAGE).items():
        if one.control == "part":
            texts |= {} if told[name] is None else shown_entity(kind_inside(one), told[name], units)
        elif of_one := one.shown(told[name], units):
            texts[one.data_key or name] = of_one
    return texts


def sections(schema: EntitySchema[Any]) -> list[Section]:
    """The form, section by section."""
    found: list[Section] = []
    for one in map(_typed, schema.fields.values()):
        if one.control == "part":
            rows = tuple(row for section in sections(kind_inside(one)()) for row in section.rows)
            found.append(Section(one.label, one.hint, rows))
        elif not found or one.legend != found[-1].legend:
            found.append(Section(one.legend, schema.legends.get(one.legend, ""), ((one,),)))
        else:
            *before, last = found[-1].rows
            found[-1] = replace(found[-1], rows=(*before, (*last, one)) if one.beside else (*before, last, (one,)))
    return found


def labels(schema: EntitySchema[Any]) -> dict[str, str]:
    """The label of each field of the form by its name on the page, those of its parts among them."""
    return {one.sent_name: one.label for section in sections(schema) for row in section.rows for one in row}


def _typed(one: object) -> Typed:
    if not isinstance(one, Typed):
        message = f"{one} is no fact of an entity"
        raise TypeError(message)
    return one


# ---- what stands inside another entity ------------------------------------------------------------------------------


def part(kind: type[EntitySchema[Any]]) -> Typed:
    """An entity inside another one: a table of its own in a file, and on the page some fields of the same form."""
    field = Typed(
        lambda sent, _units: kind().load(sent),
        plain=shape(kind, FILE),
        show=lambda entity, units: [] if entity is None else [str(shown_entity(kind, entity, units))],
        by_units=True,
        takes="a table",
        control="part",
    )
    return _holding(kind, field)


def many(kind: type[EntitySchema[Any]], most: int, field: Typed | None = None) -> Typed:
    """Any number of entities inside another one: tables of their own in a file, and perhaps one `field` on the page."""
    field = field or Typed(tuple, default=())
    field.plain, field.takes = Tables(shape(kind, FILE), most), "any number of tables"
    return _holding(kind, field)


def _holding(kind: type[EntitySchema[Any]], field: Typed) -> Typed:
    field.inside = kind
    return field


def kind_inside(one: Typed) -> type[EntitySchema[Any]]:
    """The kind of entity that a fact holds."""
    kind = one.inside
    if kind is None or not issubclass(kind, EntitySchema):
        message = f"{one.label} holds no entity"
        raise TypeError(message)
    return kind


# ---- in a file, and in a line ---------------------------------------------------------------------------------------


@cache
def shape(kind: type[EntitySchema[Any]], where: Within) -> Shape:
    """The keys of the entity there, each with the reader of its fact."""
    facts = {key_of(name, one, where): (name, one) for name, one in kind.facts(where).items()}
    return Shape(
        keys={key: _reader(one, where) for key, (_, one) in facts.items()},
        needs=tuple(key for key, (_, one) in facts.items() if where in one.must),
        make=partial(kind.made, where=where),
        names={key: name for key, (name, _) in facts.items() if key != name},
        unsaid={name: one.unsaid for name, one in facts.values() if where is LINE and one.unsaid is not missing},
        ways=kind.ways if where is FILE else (),
    )


def key_of(name: str, one: Typed, where: Within) -> str:
    """What a fact is called there."""
    return one.key if one.key and where is FILE else name


def _reader(one: Typed, where: Within) -> Callable[[object], Any]:
    reader = one.asked if where is LINE else one.plain
    if reader is None:
        message = f"{one.label} can't be saved in a file"
        raise TypeError(message)
    return reader


def as_tables(kind: type[EntitySchema[Any]], entity: object, header: str = "") -> Iterator[str]:
    """The entity as TOML: its own table, without what goes without saying, and those of what is inside it."""
    header = header or f"[[{kind.word}]]"
    told, facts = kind.told(entity), [(key_of(name, one, FILE), name, one) for name, one in kind.facts(FILE).items()]
    rows = [
        f"{key} = {_written(told[name])}"
        for key, name, one in facts
        if one.inside is None and told[name] not in (None, "", (), frozenset()) and told[name] is not one.load_default
    ]
    yield "\n".join([header, *rows, ""])
    for key, name, one in facts:
        if one.inside is not None and told[name] is not None:
            inner = f"{header.strip('[]')}.{key}"
            if isinstance(told[name], tuple):
                for each in told[name]:
                    yield from as_tables(kind_inside(one), each, f"[[{inner}]]")
            else:
                yield from as_tables(kind_inside(one), told[name], f"[{inner}]")


def _written(value: object) -> str:
    match value:
        case bool():
            return "true" if value else "false"
        case int() | float():
            return repr(value)
        case date():
            return value.isoformat()
        case Result():
            # As many digits as the number has, which its words for people leave out.
            return dumps(f"<{value.value!r}") if value.is_below else repr(value.value)
        case tuple() | frozenset():
            written = map(_written, value)
            return f"[{', '.join(sorted(written) if isinstance(value, frozenset) else written)}]"
        case Cone() | StrEnum() | str():
            # A JSON text is a TOML text: the escapes of the one are escapes of the other.
            return dumps(str(value), ensure_ascii=False)
    message = f"{type(value).__name__} can't be saved in a studio file."
    raise TypeError(message)
