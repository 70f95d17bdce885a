"""Reads a project file (RON) into dictionaries and lists: enough of the notation for what a project holds."""

import re

TOKEN = re.compile(r'\s*(?://[^\n]*|("(?:[^"\\]|\\.)*")|(-?\d+\.\d+|-?\d+)|([A-Za-z_]\w*)|(.))', re.S)
ESCAPES = {"n": "\n", "t": "\t", "r": "\r", "0": "\0"}


def unescaped(text):
    text = re.sub(r"\\u\{([0-9a-fA-F]+)\}", lambda m: chr(int(m[1], 16)), text[1:-1])
    return re.sub(r"\\(.)", lambda m: ESCAPES.get(m[1], m[1]), text)


def read(text):
    tokens = [m for m in TOKEN.finditer(text) if m.lastgroup or any(m.groups())]
    place = 0

    def peek(ahead=0):
        return tokens[place + ahead].group().strip() if place + ahead < len(tokens) else ""

    def items(close):
        nonlocal place
        place += 1
        named, listed = {}, []
        while peek() != close:
            word = tokens[place].group(3)
            if word and peek(1) == ":":
                place += 2
                named[word] = value()
            else:
                listed.append(value())
            if peek() == ",":
                place += 1
        place += 1
        return named or listed

    def value():
        nonlocal place
        token = tokens[place]
        if token.group(1):
            place += 1
            return unescaped(token.group(1))
        if token.group(2):
            place += 1
            return float(token.group(2)) if "." in token.group(2) else int(token.group(2))
        if token.group(3):
            place += 1
            word = token.group(3)
            if word == "Some":
                return items(")")[0]
            return {"None": None, "true": True, "false": False}.get(word, word)
        return items({"(": ")", "[": "]", "{": "}"}[token.group(4)])

    return value()


def bars(project):
    """Bars in written order, each with the name of the section if it is the first of one."""
    found = []
    for section in project["sections"]:
        for number, bar in enumerate(section["bars"]):
            found.append({**(bar or {}), "section": section.get("name", "") if number == 0 else None})
    return found
