"""What the fields of works made to order mean."""

FIELDS = {
    "cancelled_due": "What of the price is due in all if the order is cancelled at this stage, before the next one.",
    "cancelled_percent": "The same in percent of the price.",
    "paid": "What has been paid of the price once this stage is.",
    "paid_back": "What then goes back to the buyer.",
    "percent": "The part in percent.",
    "stages": "The stages of payment in their order; they sum to the price, to the last cent.",
    "stands_last_on": "The last day on which the offer may be taken up.",
    "still_due": "What is then still to be paid.",
    "StageDue.amount": "What is paid of the price when the stage is reached.",
    "StageDue.name": "The stage, as the member's rules name it.",
    "StageDue.tax": "The stage's part of the tax in the price, or on top of it, as `tax_kind` says.",
}
