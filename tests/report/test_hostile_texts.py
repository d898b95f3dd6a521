"""Whatever people type stands on the sheet as they typed it, and is never markup, code or an address."""

from __future__ import annotations

import re
from base64 import b64encode
from dataclasses import replace
from hashlib import sha256
from importlib.resources import files

import pytest
from tests.report.examples import handover_of, psi
from tests.report.reading import page, pdf_text, squeezed

from ringtrue.compression import CompressionTest, Gauge, Kind, LeakdownReading, Pull
from ringtrue.engine import BuildSheet, Layout
from ringtrue.quantities import Measured
from ringtrue.report import CorrectionShown, HandOver, WorkPlan, as_html, as_pdf, content, policy, worksheet
from ringtrue.report.texts import shown

PAYLOADS = [
    "<script>alert(1)</script>",
    "</script><script src=//x.example/y></script>",
    "<img src=x onerror=alert(1)>",
    '"><svg onload=alert(1)>',
    "'><b>bold",
    '" onmouseover="alert(1)',
    "' autofocus onfocus='alert(1)",
    "</title><h1>no title",
    "</style><style>*{display:none}",
    "<style>@import 'http://x.example'</style>",
    "<link rel=stylesheet href=http://x.example/a.css>",
    "<iframe src=javascript:alert(1)>",
    "<a href='javascript:alert(1)'>here</a>",
    "<base href=http://x.example/>",
    "<meta http-equiv=refresh content='0;url=http://x.example'>",
    "<form action=http://x.example><input name=a>",
    "<!-- a comment -->",
    "--><b>after a comment",
    "<![CDATA[ x ]]>",
    "<?xml version='1.0'?>",
    "&lt;b&gt; &amp; &#60;",
    "{{ 7 * 7 }} {% include 'x' %} {# y #}",
    "{{ ''.__class__ }}",
    "${7*7} #{7*7} <%= 7*7 %>",
    "%s %d %(a)s {0}",
    "\\u003cscript\\u003e",
    "<svg><use href='#p0-figure_1'/></svg>",
    "url(http://x.example/a.png)",
    '#import "@preview/x:1.0.0": *',
    '#read("/etc/passwd")',
    '#eval("1+1") #sys.inputs',
    '#panic("no") #set page(fill: black)',
    "*strong* _emph_ `raw` = Heading",
    "$ x^2 $ \\frac{1}{2} @cite <label>",
    "] #[ } { ) (",
    "// a comment /* and one more */",
    "\\ \\\\ \" ' ~ -- --- ...",
    "- list + item / term: what",
    "https://x.example/a?b=c",
    "=cmd|'/c calc'!A1",
]


def handover_with(text: str) -> HandOver:
    """Return a sheet of which every text that a person can type is this one."""
    names = ("1", "2", "3")
    sheet = BuildSheet(
        name=text, reference=text, layout=Layout.INLINE, cylinders=names, banks=(names,), hazards=(text,)
    )
    some = Measured(1.0, text, text)
    beside = {"plug": text, "note": text, "read_by": text, "at": text, "lift_loss": some, "extra": ((text, text),)}

    def pull(name: str, kind: Kind, final: float) -> Pull:
        return Pull(cylinder=name, kind=kind, first=psi(80), final=psi(final), oil=some, **beside)  # type: ignore[arg-type]

    taken: tuple[Pull | LeakdownReading, ...] = (
        *(pull(name, kind, 150.0) for kind in (Kind.DRY, Kind.WET) for name in names),
        LeakdownReading(cylinder="1", supply=psi(80), held=psi(70), restrictor=some, heard=(text,), **beside),  # type: ignore[arg-type]
    )
    gauge = Gauge(name=text, range=some, resolution=some, adapter_volume=some, hose_volume=some, opening_pressure=some)
    test = CompressionTest(taken=taken, date=text, by=text, run_since_build=some, gauge=gauge)
    correction = CorrectionShown(
        cylinder=text, kind=text, what=text, before=text, after=text, why=text, who=text, when=text
    )
    return replace(
        handover_of(test, sheet),
        test_id=text,
        head=text,
        engine_name=text,
        engine_reference=text,
        shop_name=text,
        builder=text,
        owner_name=text,
        corrections=(correction,),
    )


HARMLESS = page(as_html(content(handover_with("harmless"))))


# If this failed, a note typed into a phone could run code, fetch something, or hide a reading in somebody's browser.
@pytest.mark.in_part(5)
@pytest.mark.parametrize("text", PAYLOADS)
def test_a_page_has_no_element_that_was_typed(text: str) -> None:
    found = page(as_html(content(handover_with(text))))
    assert found.tags == HARMLESS.tags
    assert [(tag, name) for tag, name, _ in found.attributes] == [(tag, name) for tag, name, _ in HARMLESS.attributes]
    assert found.style == HARMLESS.style
    assert found.comments == []
    assert squeezed(found.text).count(squeezed(shown(text))) >= squeezed(HARMLESS.text).count("harmless") >= 40


# If this failed, opening a sheet would tell somebody else that it was opened, or would look other without a network.
def test_a_page_fetches_nothing_and_runs_nothing() -> None:
    names = {name for _, name, _ in HARMLESS.attributes}
    assert not {name for name in names if name.startswith("on")}
    assert not names & {"src", "srcset", "action", "style", "xlink:href", "background", "poster", "data"}
    assert {value[0] for _, name, value in HARMLESS.attributes if name == "href"} == {"#"}
    assert not {tag.rpartition("/")[2] for tag in HARMLESS.tags} & {
        "script",
        "link",
        "iframe",
        "object",
        "embed",
        "img",
    }
    assert "http" not in HARMLESS.style
    assert "url(" not in HARMLESS.style
    assert "@import" not in HARMLESS.style


# If this failed, the browser would let a page do more than stand there, or would refuse its own style sheet.
def test_a_page_says_what_it_may_do() -> None:
    made = content(handover_with("harmless"))
    digest = b64encode(sha256(HARMLESS.style.encode()).digest()).decode()
    assert policy(made).startswith("default-src 'none'; ")
    assert f"style-src 'sha256-{digest}'" in policy(made)
    assert ("meta", "content", policy(made)) in HARMLESS.attributes


# If this failed, what stands in a picture for one cylinder could be what was typed for another, or two share a name.
def test_ids_in_a_page_are_there_once() -> None:
    ids = [value for _, name, value in HARMLESS.attributes if name == "id"]
    assert len(ids) == len(set(ids))
    used = {value[1:] for _, name, value in HARMLESS.attributes if name == "href"}
    used |= {found for _, _, value in HARMLESS.attributes for found in re.findall(r"url\(#([^)]*)\)", value)}
    assert used <= set(ids)


# If this failed, a note could be set as a formula, read a file into the PDF, or stop the sheet from being printed.
def test_a_pdf_says_what_was_typed() -> None:
    notes = tuple(
        Pull(cylinder="1", repeat=number, final=psi(150), note=text) for number, text in enumerate(PAYLOADS, start=1)
    )
    made = content(replace(handover_of(CompressionTest(taken=notes), None), builder=PAYLOADS[29]))
    text = pdf_text(as_pdf(made))
    assert [payload for payload in PAYLOADS if squeezed(shown(payload)) not in text] == []
    assert "root:" not in text


# If this failed, a builder's or an engine's name could break a sheet where a note cannot.
@pytest.mark.in_part(3)
@pytest.mark.parametrize(
    "text", [PAYLOADS[0], PAYLOADS[28], PAYLOADS[33], PAYLOADS[36], "", " ", "x" * 700, "\0\x07\u202e"]
)
def test_a_pdf_is_made_of_any_text_anywhere(text: str) -> None:
    assert as_pdf(content(handover_with(text))).startswith(b"%PDF")
    sheet = BuildSheet(name=text, layout=Layout.INLINE, cylinders=("1", "2"), banks=(("1", "2"),), reference=text)
    made = worksheet(WorkPlan(sheet=sheet, shop_name=text, builder=text, gauge=Gauge(name=text)))
    assert as_pdf(made).startswith(b"%PDF")
    assert page(as_html(made)).tags


# If this failed, a cylinder's name could be drawn as a formula, or stop the drawing.
@pytest.mark.in_part(3)
@pytest.mark.parametrize(
    "name", ["$\\frac$", "$x^2$", "<b>", "&amp;", "--", "\u5c71\u7530", "\U0001f600", "e\u0301", "\u0645", "{}", "%s"]
)
def test_any_name_of_a_cylinder_can_be_drawn(name: str) -> None:
    sheet = BuildSheet(name="x", layout=Layout.INLINE, cylinders=(name, "2"), banks=((name, "2"),))
    taken = (Pull(cylinder=name, final=psi(150)), Pull(cylinder="2", final=psi(151)))
    made = content(handover_of(CompressionTest(taken=taken), sheet))
    assert as_pdf(made).startswith(b"%PDF")
    assert shown(name) in page(as_html(made)).text


# If this failed, letters turned around on a signed sheet could make it say another figure than it does.
@pytest.mark.in_part(3)
@pytest.mark.parametrize("odd", ["\u202e", "\u2066", "\u200f", "\0", "\x1b", "\ud800", "\ue000", "\u2028", "\ufeff"])
def test_what_has_no_shape_is_seen(odd: str) -> None:
    assert shown(f"1{odd}51 psi") in {"1\ufffd51 psi", "1 51 psi"}
    assert shown("e\u0301 \u0645\u200d") == "e\u0301 \u0645\u200d"
    as_html(content(handover_with(f"a{odd}b"))).encode()


# If this failed, what the printed type lacks would be a row of empty boxes, the same for every name.
def test_what_the_type_lacks_is_written_out() -> None:
    made = content(replace(handover_with("harmless"), owner_name="\u5c71\u7530"))
    text = pdf_text(as_pdf(made))
    assert "[U+5C71][U+7530]" in text
    assert "theHTMLsheetshowsit" in text
    assert "\u5c71\u7530" in page(as_html(made)).text


# If this failed, a sheet's template could read a file, fetch a package, or take a text for code.
def test_the_template_reads_nothing_but_its_data() -> None:
    template = (files("ringtrue.report") / "templates" / "sheet.typ").read_text(encoding="utf-8")
    code = re.sub(r"//.*", "", template)
    assert not re.findall(r"\b(?:read|eval|plugin|csv|toml|yaml|xml|cbor|bibliography)\(|#?(?:import|include)\b", code)
    assert re.findall(r"json\(([^)]*\))", code) == ["bytes(sys.inputs.sheet)"]
    assert set(re.findall(r"image\((\w+)", code)) == {"bytes"}
