"""Opens a player: through the loudspeaker, or a silent one where there is none."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

from companion.sound.device import Device
from companion.sound.player import Player, SilentPlayer, SoundingPlayer
from companion.sound.settings import SoundSettings
from fingering.errors import UserError


@dataclass(frozen=True, slots=True)
class OpenedPlayer:
    """A player, and one line about why it is silent, None if it is not."""

    player: Player
    device: Device | None
    why_silent: str | None

    def close(self) -> None:
        """Stop the player, then give the device back."""
        self.player.close()
        if self.device is not None:
            self.device.close()


def open_player(settings: SoundSettings, clock: Callable[[], float] = time.perf_counter) -> OpenedPlayer:
    """A sounding player; where no sound is to be had, a silent one on `clock`, with the reason."""
    try:
        device = Device()
    except UserError as error:
        return OpenedPlayer(SilentPlayer(clock), None, str(error))
    return OpenedPlayer(SoundingPlayer(device, settings), device, None)
