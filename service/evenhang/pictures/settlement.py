"""A settlement as a picture: what the buyer paid, and whose share is whose, one bar after the other.

Knows the settlement. Each bar begins where the last one ended, so that a share below 0 is seen to go back.
"""

from typing import TYPE_CHECKING

from evenhang.engine.money import HUNDRED, in_percent, shown
from evenhang.engine.saying import Said, joined, reckon, say
from evenhang.engine.settlement import Settlement, Share
from evenhang.pictures.canvas import LIGHT, Drawing, plain_numbers, short
from evenhang.pictures.voice import Voice, wrapped

if TYPE_CHECKING:
    from matplotlib.figure import Figure

WIDTH, HEAD, BAR, FOOT = 680, 60, 40, 54
LEFT, RIGHT = 150, 166  # beside the bars: whose it is, and how much
LINE = 12  # of the caution below
NAMES: dict[str, Said] = {
    "member": say("Member"),
    "outlet": say("Outlet"),
    "collective": say("Collective"),
    "payment-provider": say("Payment provider"),
    "tax-office": say("Tax office"),
}
# A colour and a hatching for each party: either alone tells them apart.
LOOKS = {
    "member": (LIGHT.first, ""), "outlet": (LIGHT.second, "//"), "collective": (LIGHT.third, "\\\\"),
    "payment-provider": (LIGHT.faint, "xx"), "tax-office": (LIGHT.ink, "--"),
}  # fmt: skip


def draw_settlement(settled: Settlement, outlet: str, voice: Voice) -> Drawing:
    """The shares of one sale, which sum to what the buyer paid; `outlet` is its title."""
    caution = wrapped(voice.said(settled.caution), 124)
    foot = FOOT + LINE * len(caution.splitlines())
    height = HEAD + BAR * len(settled.shares) + foot
    paid = settled.buyer_pays
    title = voice.said(say("What the buyer paid, and whose it is: {outlet}", outlet=short(outlet)))

    def paint(figure: "Figure") -> None:
        figure.text(0.02, 1 - 20 / height, title, fontsize=14, va="center")
        pays = voice.said(say("The buyer pays {amount}.", amount=paid))
        figure.text(0.02, 1 - 42 / height, pays, fontsize=9.5, color=LIGHT.faint, va="center")
        figure.text(0.02, 8 / height, caution, fontsize=8.5, color=LIGHT.faint, va="bottom")
        axes = figure.add_axes((LEFT / WIDTH, foot / height, (WIDTH - LEFT - RIGHT) / WIDTH, BAR * len(settled.shares) / height))
        end = 0.0
        for at, share in enumerate(settled.shares):
            amount = float(share.amount.amount)
            colour, hatch = LOOKS[share.party]
            axes.barh(at, amount, left=end, height=0.62, color=colour, hatch=hatch, edgecolor=LIGHT.paper, linewidth=0)
            told = voice.said(_told(share, settled))
            axes.text(1.02, at, told, transform=axes.get_yaxis_transform(), va="center", fontsize=10)
            end += amount
        axes.set_yticks(range(len(settled.shares)), [voice.said(NAMES[share.party]) for share in settled.shares])
        axes.set_ylim(len(settled.shares) - 0.5, -0.5)
        axes.set_xlabel(paid.currency, fontsize=9.5)
        axes.grid(visible=False, axis="y")
        axes.tick_params(labelsize=10, length=0)
        axes.axvline(0, color=LIGHT.ink, linewidth=1)
        axes.axvline(float(paid.amount), color=LIGHT.ink, linewidth=1, linestyle=(0, (4, 3)))
        plain_numbers(axes, voice, y=False)

    shares = joined([say("{name}: {what}", name=NAMES[share.party], what=_told(share, settled)) for share in settled.shares], "; ")
    pays = say("The buyer pays {amount} in this outlet: {outlet}.", amount=paid, outlet=outlet)
    return Drawing(title, voice.said(joined((pays, say("{title}.", title=shares), settled.caution), " ")), WIDTH, height, paint)


def _told(share: Share, settled: Settlement) -> Said:
    """The share, and how much of what was paid it is."""
    paid = settled.buyer_pays.amount
    if not paid:
        return shown(share.amount)
    return reckon("{amount} ({part})", amount=share.amount, part=in_percent(HUNDRED * share.amount.amount / paid, 1))
