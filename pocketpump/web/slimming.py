"""Takes out of Flet's client (``main.dart.js``) what the app cannot show.

The client is one script for every app. What is left out here is found by its form in the
compiled script; where a newer client has another form, the script stays as it is.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection

# s($,"dNU","d_o",()=>A.q(["1c",$.d0D(),"abnf",$.d_0(), …],t.N,t.n)): all programming languages
# that the code editor colours, by name, each made by a getter of its own.
_LANGUAGES = re.compile(r'(\ns\(\$,"\w+","\w+",\(\)=>A\.q\()\[("1c",\$\.[^\]\n]*)\](,[^\n]*\n)')
_GETTER = re.compile(r"\$\.(\w+)\(\)")
_ICON = re.compile(r'\n(B\.\w+)=new A\.\w+\(\w+,"(?:MaterialIcons|CupertinoIcons)",[^\n]*')
_ICONS = re.compile(r"(?:B\.\w+,){1000,}B\.\w+")
_CONSTANT = re.compile(r"\bB\.\w+")


def without_languages(script: str) -> str:
    """Return the client without the grammars of its code editor (1.1 MB, a ninth of it)."""
    found = _LANGUAGES.search(script)
    if found is None:
        return script
    uses = Counter(_GETTER.findall(script))
    alone = {name for name in _GETTER.findall(found[2]) if uses[name] == 1}
    script = script.replace(found[0], f"{found[1]}[]{found[3]}", 1)
    kept: list[str] = []
    leaving_out = False
    for line in script.split("\n"):
        begins = re.match(r's\(\$,"\w+","(\w+)",', line)
        leaving_out = leaving_out or (begins is not None and begins[1] in alone)
        if not leaving_out:
            kept.append(line)
        elif line.endswith("})"):  # a grammar ends with its function
            leaving_out = False
    return "\n".join(kept)


def without_icons(script: str, places: Collection[int], total: int) -> str:
    """Return the client without the icons that are not at ``places`` of its list.

    Flet numbers its icons by their place in a list of ``total``, so that list keeps its
    length; so does the list of the other icon set, of which the app uses none.
    """
    lists = [found[0] for found in _ICONS.finditer(script)]
    drawn = {found[1]: found[0] for found in _ICON.finditer(script)}
    ours = [one for one in lists if set(one.split(",")) <= drawn.keys()]
    if not places or not any(len(one.split(",")) == total for one in ours):
        return script
    uses = Counter(_CONSTANT.findall(script))
    listed: Counter[str] = Counter()
    wanted: set[str] = set()
    for one in ours:
        names = one.split(",")
        listed.update(names)
        if len(names) == total:
            wanted |= {names[place] for place in places}
    gone = {name for name in listed if uses[name] == listed[name] + 1} - wanted
    filler = min(wanted)
    for one in ours:
        short = (filler if name in gone else name for name in one.split(","))
        script = script.replace(one, ",".join(short), 1)
    return _ICON.sub(lambda found: "" if found[1] in gone else found[0], script)
