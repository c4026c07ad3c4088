"""Where figures come from, in words."""

KINDS = {  # the kinds of ``core.tables``, as people read them
    "published": "Published",
    "common practice, no source": "Common practice",
    "from memory": "Not checked",
    "judgement": "Our estimate",
}
LEGEND = (
    "Published: in a standard, handbook or table. Common practice: no source named. Not checked: not read "
    "again in its source. Our estimate: no source."
)
