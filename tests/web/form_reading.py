"""The forms of a page as its HTML has them: fields, what they hold, what describes them, which folds are shut."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"input", "br", "link", "meta", "img", "hr", "col", "wbr", "source"}
FIELDS = ("input", "select", "textarea", "button")


@dataclass
class Field:
    """One control. folded: it lies in a fold that is shut. described: ids of what its fieldset and it are linked to.

    within_label: its label stands around it.
    """

    tag: str
    attrs: dict[str, str]
    folded: bool
    described: list[str]
    within_label: bool
    value: str = ""
    options: list[tuple[str, bool]] = field(default_factory=list)

    @property
    def name(self) -> str:
        return self.attrs.get("name", "")

    @property
    def kind(self) -> str:
        return self.attrs.get("type", "text") if self.tag == "input" else self.tag

    @property
    def invalid(self) -> bool:
        return self.attrs.get("aria-invalid") == "true"


@dataclass
class Form:
    attrs: dict[str, str]
    fields: list[Field] = field(default_factory=list)

    @property
    def posts(self) -> bool:
        return self.attrs.get("method", "get").lower() == "post"


class PageForms(HTMLParser):
    """`forms`, `texts` (what stands in each element with an id), `alerts` (attributes of what is an alert).

    labels: what labels stand for, by id.
    """

    def __init__(self, html: str) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self.texts: dict[str, str] = {}
        self.alerts: list[dict[str, str]] = []
        self.labels: set[str] = set()
        self._open: list[tuple[str, dict[str, str]]] = []
        self._field: Field | None = None
        self.feed(html)

    def unlabelled(self) -> list[str]:
        """Names of fields that nobody can tell what they ask for."""
        asked = [each for each in self.fields if each.kind not in ("hidden", "submit", "button", "reset")]
        return [
            each.name
            for each in asked
            if not (each.within_label or "aria-label" in each.attrs or each.attrs.get("id", "-") in self.labels)
        ]

    @property
    def fields(self) -> list[Field]:
        return [each for form in self.forms for each in form.fields]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag not in VOID:
            self._open.append((tag, given))
        if "id" in given:
            self.texts.setdefault(given["id"], "")
        if given.get("role") == "alert":
            self.alerts.append(given)
        if tag == "label":
            self.labels.add(given.get("for", ""))
        if tag == "form":
            self.forms.append(Form(given))
        elif tag in FIELDS and any(name == "form" for name, _ in self._open):
            shut = any(name == "details" and "open" not in its for name, its in self._open)
            sets = [its for name, its in self._open if name == "fieldset"]
            ids = " ".join(its.get("aria-describedby", "") for its in (*sets, given)).split()
            within = any(name == "label" for name, _ in self._open)
            self._field = Field(tag, given, shut, ids, within, given.get("value", ""))
            self.forms[-1].fields.append(self._field)
        elif tag == "option" and self._field is not None:
            self._field.options.append((given.get("value", ""), "selected" in given))

    def handle_endtag(self, tag: str) -> None:
        while self._open and self._open.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        for tag, given in self._open:
            if "id" in given and data.strip():
                self.texts[given["id"]] += data
            if tag == "textarea" and self._field is not None:
                self._field.value = data.removeprefix("\n")


def filled_wrongly(form: Form) -> dict[str, list[str]]:
    """What is sent when somebody leaves out all that is asked for, and types x where a number or a day belongs."""
    sent: dict[str, list[str]] = {}
    for each in form.fields:
        match each.kind:
            case "hidden":
                value = [each.value]
            case "checkbox" | "radio":
                value = [each.value or "on"] if "checked" in each.attrs else []
            case "select":
                value = [chosen for chosen, selected in each.options if selected][:1]
            case "submit" | "button" | "file":
                value = []
            case "date" | "time" | "datetime-local" | "number":
                value = ["x"]
            case "text" if each.attrs.get("inputmode") in ("decimal", "numeric"):
                value = ["x"]
            case _:
                value = [""]
        sent.setdefault(each.name, []).extend(value)
    return {name: values for name, values in sent.items() if name and values}
