"""The commands and settings as the guide shows them: read from where they are declared."""

from __future__ import annotations

from dataclasses import dataclass

import click

from app.declared_settings import SETTINGS, Setting
from app.words import N_, Message, paragraphs

COMMANDS = "plumbfall_commands"
"""Under this name the application has its commands, which are above the pages."""
BETWEEN = N_("A whole number from %(least)s to %(most)s.")
ONE_OF = N_("One of: %(words)s.")


@dataclass(frozen=True)
class OptionWords:
    """One option as it is written, what it does, and what stands in for it."""

    written: str
    about: str
    default: Message | None


@dataclass(frozen=True)
class CommandWords:
    """One command: how it is written, and what it does, a sentence or two at a time."""

    name: str
    usage: str
    about: tuple[str, ...]
    options: tuple[OptionWords, ...]


@dataclass(frozen=True)
class SettingWords:
    """One setting: what it may be, and what stands in for it."""

    name: str
    what: Message
    range: Message | None
    default: Message


def commands_in_words(group: click.Group) -> tuple[CommandWords, ...]:
    """The group's commands in the order of their names."""
    return tuple(_command("plumbfall", group.commands[name]) for name in sorted(group.commands))


def _command(program: str, command: click.Command) -> CommandWords:
    context = click.Context(command, info_name=command.name)
    given = [one for one in command.params if isinstance(one, click.Argument)]
    options = [one for one in command.params if isinstance(one, click.Option)]
    needed = [
        f"{one.opts[0]} {one.make_metavar(context)}" for one in options if one.required and not one.prompt
    ]
    usage = " ".join((program, command.name or "", *(one.make_metavar(context) for one in given), *needed))
    told = tuple(_option(one, context) for one in options)
    return CommandWords(command.name or "", usage, paragraphs(command.help or ""), told)


def _option(option: click.Option, context: click.Context) -> OptionWords:
    record = option.get_help_record(context)
    return OptionWords(record[0] if record else option.opts[0], option.help or "", _default(option))


def _default(option: click.Option) -> Message | None:
    if isinstance(option.show_default, str):
        said: Message = getattr(option.show_default, "message", _as_it_is(option.show_default))
        return said
    return _as_it_is(str(option.default)) if option.show_default else None


def settings_in_words() -> tuple[SettingWords, ...]:
    """The settings in the order in which they are declared."""
    return tuple(
        SettingWords(one.name, one.what, _range(one), one.otherwise or _as_it_is(one.default))
        for one in SETTINGS
    )


def _range(setting: Setting) -> Message | None:
    if setting.least is not None:
        return Message(BETWEEN, {"least": str(setting.least), "most": str(setting.most)})
    return Message(ONE_OF, {"words": ", ".join(setting.words)}) if setting.words else None


def _as_it_is(text: str) -> Message:
    return Message("%(typed)s", {"typed": text})
