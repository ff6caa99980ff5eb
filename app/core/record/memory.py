"""What was worked out, and remembered for as long as nothing that it was read from changes.

While an answer is worked out, each source that it reads notes itself here: a slot or a kind of
the ledger, another answer. When an event comes in, the ledger names the sources that it changes
(`forget`). What was worked out of those is forgotten, and what was worked out of that. Nobody
lists by hand what an event alters, so nobody can leave something out.
"""

from app.core.kinds import Any, Callable


class Memory:
    """The answers of one opening's state. Names of answers begin with "=": no source's do."""

    def __init__(self) -> None:
        self._answers: dict[str, Any] = {}
        # source -> the answer worked out of it, or several: most have one, and a door has thousands
        self._readers: dict[str, str | dict[str, bool]] = {}
        self._asking: list[dict[str, bool]] = []  # what each answer in the making has read so far

    def note(self, source: str) -> None:
        """Note that a source was read, by whatever is being worked out."""
        if self._asking:
            self._asking[-1][source] = True

    def answer(self, name: str, work: "Callable[..., Any]", *given: Any) -> Any:
        """Return what work(*given) comes to; remembered by its name. Nobody may alter it.

        Where that raises an error nothing is remembered, and who asked has read the same.
        """
        if name not in self._answers:
            read: dict[str, bool] = {}
            self._asking.append(read)
            try:
                self._answers[name] = work(*given)
            finally:
                self._asking.pop()
                if name not in self._answers:
                    for source in read:
                        self.note(source)
            for source in read:
                self._link(source, name)
        self.note(name)
        return self._answers[name]

    def _link(self, source: str, name: str) -> None:
        readers = self._readers.get(source)
        if readers is None or readers == name:
            self._readers[source] = name
        elif isinstance(readers, str):
            self._readers[source] = {readers: True, name: True}
        else:
            readers[name] = True

    def holds(self, name: str) -> bool:
        """Return whether an answer is remembered: nothing that it was read from has changed."""
        return name in self._answers

    def forget(self, source: str) -> None:
        """Forget what was worked out of a source that has changed, and of that in turn."""
        todo = [source]
        while todo:
            readers = self._readers.pop(todo.pop(), None)
            names = [readers] if isinstance(readers, str) else readers
            for name in names or ():
                if name in self._answers:
                    del self._answers[name]
                    todo.append(name)
