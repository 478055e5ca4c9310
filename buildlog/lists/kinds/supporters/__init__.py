from buildlog.lists.kinds.base import Kind
from buildlog.lists.kinds.supporters.bring import check, write
from buildlog.lists.kinds.supporters.columns import COLUMNS
from buildlog.lists.kinds.supporters.take import take

KIND = Kind(
    key="supporters", title="Supporters", one="supporter", many="supporters", right="share",
    see="share",
    hint="Who helps: name, email, since when, whether they may be named, and what they gave.",
    same="A supporter is known again by name and email; a gift by its date, amount and purpose.",
    columns=COLUMNS, check=check, write=write, take=take,
)  # fmt: skip
