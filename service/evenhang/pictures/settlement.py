"""A settlement as a picture: what the buyer paid, and whose share is whose, one bar after the other.

Knows the settlement. Each bar begins where the last one ended, so that a share below 0 is seen to go back.
"""

from typing import TYPE_CHECKING

from evenhang.engine.settlement import Settlement, Share
from evenhang.pictures.canvas import LIGHT, Drawing, plain_numbers, short

if TYPE_CHECKING:
    from matplotlib.figure import Figure

WIDTH, HEAD, BAR, FOOT = 680, 60, 40, 66
NAMES = {
    "member": "Member", "outlet": "Outlet", "collective": "Collective", "payment-provider": "Payment provider", "tax-office": "Tax office",
}  # fmt: skip
# A colour and a hatching for each party: either alone tells them apart.
LOOKS = {
    "member": (LIGHT.first, ""), "outlet": (LIGHT.second, "//"), "collective": (LIGHT.third, "\\\\"),
    "payment-provider": (LIGHT.faint, "xx"), "tax-office": (LIGHT.ink, "--"),
}  # fmt: skip


def draw_settlement(settled: Settlement, outlet: str) -> Drawing:
    """The shares of one sale, which sum to what the buyer paid; `outlet` is its title."""
    height = HEAD + BAR * len(settled.shares) + FOOT
    paid = settled.buyer_pays
    title = f"What the buyer paid, and whose it is: {short(outlet)}"

    def paint(figure: "Figure") -> None:
        figure.text(0.02, 1 - 20 / height, title, fontsize=14, va="center")
        figure.text(0.02, 1 - 42 / height, f"The buyer pays {paid.amount} {paid.currency}.", fontsize=9.5, color=LIGHT.faint, va="center")
        figure.text(0.02, 14 / height, settled.caution, fontsize=8.5, color=LIGHT.faint, va="center")
        axes = figure.add_axes((140 / WIDTH, FOOT / height, (WIDTH - 300) / WIDTH, BAR * len(settled.shares) / height))
        end = 0.0
        for at, share in enumerate(settled.shares):
            amount = float(share.amount.amount)
            colour, hatch = LOOKS[share.party]
            axes.barh(at, amount, left=end, height=0.62, color=colour, hatch=hatch, edgecolor=LIGHT.paper, linewidth=0)
            axes.text(1.02, at, _told(share, settled), transform=axes.get_yaxis_transform(), va="center", fontsize=10)
            end += amount
        axes.set_yticks(range(len(settled.shares)), [NAMES[share.party] for share in settled.shares])
        axes.set_ylim(len(settled.shares) - 0.5, -0.5)
        axes.set_xlabel(paid.currency, fontsize=9.5)
        axes.grid(visible=False, axis="y")
        axes.tick_params(labelsize=10, length=0)
        axes.axvline(0, color=LIGHT.ink, linewidth=1)
        axes.axvline(float(paid.amount), color=LIGHT.ink, linewidth=1, linestyle=(0, (4, 3)))
        plain_numbers(axes, y=False)

    shares = "; ".join(f"{NAMES[share.party]} {_told(share, settled)}" for share in settled.shares)
    said = f"The buyer pays {paid.amount} {paid.currency} in {outlet}. {shares}. {settled.caution}"
    return Drawing(title, said, WIDTH, height, paint)


def _told(share: Share, settled: Settlement) -> str:
    """The share, and how much of what was paid it is."""
    paid = settled.buyer_pays.amount
    part = f" ({100 * share.amount.amount / paid:.1f} %)" if paid else ""
    return f"{share.amount.amount}{part}"
