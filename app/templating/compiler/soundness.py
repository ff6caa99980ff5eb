"""What one template alone does not show: macros that fit their calls, names that do not clash."""

from collections.abc import Iterator

from jinja2 import nodes

Wrong = tuple[str, int, str]  # template, line, reason
Trees = dict[str, nodes.Template]
Reference = tuple[str, str]  # template, macro

_SILENT = (nodes.Macro, nodes.Import, nodes.FromImport)


def unsound_parts(trees: Trees) -> list[Wrong]:
    """Return what is wrong between the templates, in order."""
    taken = {name for tree in trees.values() for name in macro_references("", tree)}
    found = [
        (template, line, reason)
        for template, tree in trees.items()
        for look in (
            _import_faults(tree, trees),
            _call_faults(template, trees),
            name_faults(tree, taken),
        )
        for line, reason in look
    ]
    return sorted(set(found))


def macros_of(tree: nodes.Template) -> dict[str, nodes.Macro]:
    """Return the macros that a template defines, by name."""
    return {node.name: node for node in tree.find_all(nodes.Macro)}


def macro_references(template: str, tree: nodes.Template) -> dict[str, Reference]:
    """Return what each macro's name in a template stands for: (its template, its name there).

    The name of an imported module stands for (its template, "").
    """
    found = {name: (template, name) for name in macros_of(tree)}
    for module in tree.find_all(nodes.Import):
        found[module.target] = (_constant_name(module.template), "")
    for node in tree.find_all(nodes.FromImport):
        for name in node.names:
            own, here = (name, name) if isinstance(name, str) else name
            found[here] = (_constant_name(node.template), own)
    return found


def reference_of(call: nodes.Call, known: dict[str, Reference]) -> Reference:
    """Return which macro a call means; the lint has seen that it means one."""
    if isinstance(call.node, nodes.Getattr):
        return known[_root_node(call.node).name][0], call.node.attr  # type: ignore[attr-defined]
    return known[call.node.name]  # type: ignore[attr-defined]


def call_arguments(macro: nodes.Macro, call: nodes.Call) -> "list[nodes.Expr] | str":
    """Return a call's arguments in the order of the macro's parameters, or why they do not fit."""
    names = [parameter.name for parameter in macro.args]
    first = len(names) - len(macro.defaults)
    given = dict(zip(names, call.args, strict=False))
    keywords = {pair.key: pair.value for pair in call.kwargs}
    wrong = [key for key in keywords if key not in names or key in given]
    if len(call.args) > len(names) or wrong or len(keywords) < len(call.kwargs):
        return f"macro {macro.name} takes ({', '.join(names)}), each once"
    given = {**dict(zip(names[first:], macro.defaults, strict=True)), **given, **keywords}
    lacking = [name for name in names if name not in given]
    if lacking:
        return f"macro {macro.name} needs {', '.join(lacking)}"
    return [given[name] for name in names]


def _constant_name(node: nodes.Expr) -> str:
    return str(node.value)  # type: ignore[attr-defined]


def _import_faults(tree: nodes.Template, trees: Trees) -> Iterator[tuple[int, str]]:
    """An imported template is run for its macros alone: it shows nothing of its own."""
    for node in tree.find_all((nodes.Import, nodes.FromImport)):
        other = _constant_name(node.template)  # type: ignore[attr-defined]
        if not all(isinstance(part, _SILENT) or _is_blank(part) for part in trees[other].body):
            yield node.lineno, f"{other} is imported and shows something outside its macros"


def _is_blank(node: nodes.Node) -> bool:
    return isinstance(node, nodes.Output) and all(
        isinstance(part, nodes.TemplateData) and not part.data.strip() for part in node.nodes
    )


def _call_faults(template: str, trees: Trees) -> Iterator[tuple[int, str]]:
    """Every call means a macro that is there, and fits it."""
    known = macro_references(template, trees[template])
    for call in trees[template].find_all(nodes.Call):
        where, name = reference_of(call, known)
        macro = macros_of(trees[where]).get(name)
        fit = call_arguments(macro, call) if macro else f"{where} has no macro {name}"
        if isinstance(fit, str):
            yield call.lineno, fit


def name_faults(tree: nodes.Template, taken: set[str]) -> Iterator[tuple[int, str]]:
    """A value's name is plain, and never one that stands for a macro in any template.

    Jinja2 hands macros on to what is included; the phone does not, so they must not be seen.
    """
    called = {id(_root_node(call.node)) for call in tree.find_all(nodes.Call)}
    for node in tree.find_all(nodes.Name):
        if id(node) not in called and node.name in taken:
            yield node.lineno, f"{node.name} is a macro's name and cannot be a value's"
    for name, line in _all_names(tree):
        if not name.isascii() or "__" in name:
            yield line, f"the name {name}: plain letters and single _ only"


def _root_node(node: nodes.Node) -> nodes.Node:
    return node.node if isinstance(node, nodes.Getattr) else node


def _all_names(tree: nodes.Template) -> Iterator[tuple[str, int]]:
    for node in tree.find_all((nodes.Name, nodes.Macro, nodes.Block)):
        yield node.name, node.lineno  # type: ignore[attr-defined]
