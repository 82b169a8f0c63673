"""Formulas of docstrings as plain text: the pages must open offline, without a typesetter."""

from __future__ import annotations

import html
import re
from typing import Any

_SIGNS = {
    "alpha": "α", "beta": "β", "kappa": "κ", "nu": "ν", "rho": "ρ", "mu": "μ", "sigma": "σ",
    "varepsilon": "ε", "epsilon": "ε", "theta": "θ", "lambda": "λ", "Delta": "Δ", "delta": "δ",
    "pi": "π", "tau": "τ", "eta": "η", "gamma": "γ", "phi": "φ", "omega": "ω", "int": "∫",
    "sum": "Σ", "cdot": "·", "times": "×", "le": "≤", "ge": "≥", "partial": "∂", "infty": "∞",
    "to": "→", "pm": "±", "approx": "≈", "quad": "   ", "qquad": "   ", "left": "", "right": "",
}  # fmt: skip
_HIGH = str.maketrans("0123456789-+n", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺ⁿ")
_PART = r"\{((?:[^{}]|\{[^{}]*\})*)\}"


def _grouped(text: str) -> str:
    """In brackets, unless it is one name or number."""
    return text if re.fullmatch(r"[\w.]+|\([^()]*\)", text) else f"({text})"


def plain(text: str) -> str:
    r"""LaTeX of the simple kind as a line of text.

    >>> plain(r"\tfrac{\nu t}{2}\sqrt{r/3}\,b^2"), plain(r"e^{-M / 0.15}")
    ('(ν t)/2 √(r/3) b²', 'e^(-M / 0.15)')
    """
    text = re.sub(r"\\[td]?frac\s*(\d)\s*(\d)", r"\\frac{\1}{\2}", text)
    before = None
    while before != text:
        before = text
        text = re.sub(
            rf"\\[td]?frac{_PART}{_PART}",
            lambda m: f"{_grouped(plain(m[1]))}/{_grouped(plain(m[2]))} ",
            text,
        )
        text = re.sub(rf"\\sqrt{_PART}", lambda m: f"√({plain(m[1])})", text)
        text = re.sub(rf"\\(?:text|mathrm){_PART}", r"\1", text)
    text = re.sub(r"\\[,;:! ]", " ", text)
    text = re.sub(r"\\([A-Za-z]+)", lambda m: _SIGNS.get(m[1], f" {m[1]} "), text)
    text = re.sub(r"\^(?:\{(-?\d+)\}|(\d))", lambda m: (m[1] or m[2]).translate(_HIGH), text)
    text = re.sub(rf"\^{_PART}", lambda m: f"^{_grouped(m[1])}", text)
    text = re.sub(rf"_{_PART}", r"_\1", text)
    text = re.sub(r"\s*\n\s*|(?<=\S) {2,2}(?=\S)", " ", text.replace("\\", ""))
    return re.sub(r"(?<=[(\[]) +| +(?=[)\],])", "", text).strip()


def inline(writer: Any, node: Any) -> None:
    """A formula within a line."""
    from docutils.nodes import SkipNode

    writer.body.append(f"<em>{html.escape(plain(node.astext()))}</em>")
    raise SkipNode


def block(writer: Any, node: Any) -> None:
    """A formula on a line of its own."""
    from docutils.nodes import SkipNode

    lines = "\n".join(map(plain, node.astext().split("\\\\")))
    writer.body.append(f"<pre>{html.escape(lines)}</pre>\n")
    raise SkipNode


def setup(app: Any) -> dict[str, bool]:
    """Tell Sphinx."""
    app.add_html_math_renderer("plain", (inline, None), (block, None))
    return {"parallel_read_safe": True}
