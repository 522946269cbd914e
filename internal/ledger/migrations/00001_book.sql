-- The journal of acts, and what is derived from it. Times are milliseconds since 1970, UTC. A thing is written kind:id, as in
-- piece:QH-0101, wherever it is not the row's own subject.

-- The head of each mill's chain. One database may keep several mills; a file keeps one. Rebuilds counts how often the derived
-- tables were made anew, so that no program goes on with what it remembers of the old ones.
create table chain (
	site     integer not null primary key,
	word     text collate "C" not null unique,
	seq      bigint not null,
	hash     bytea not null,
	rebuilds bigint not null
);

-- The truth. Nothing here is ever changed.
create table journal (
	site    integer not null references chain (site),
	seq     bigint not null,
	id      text collate "C" not null,
	at_ms   bigint not null,
	person  text not null,
	station text not null,
	act     text not null,
	body    text not null,
	prev    bytea not null,
	hash    bytea not null,
	primary key (site, seq),
	unique (site, id)
);

-- The state of each thing.
create table thing (
	site     integer not null,
	kind     text collate "C" not null,
	id       text collate "C" not null,
	station  text collate "C" not null,
	since_ms bigint not null,
	parent   text collate "C" not null,
	seq      bigint not null,
	at_ms    bigint not null,
	state    text not null,
	primary key (site, kind, id)
);
create index thing_station on thing (site, station, kind, id);
create index thing_parent on thing (site, parent, kind, id) where parent <> '';
create index thing_number on thing (site, id);

-- Which entries touch a thing, in the order in which they fold.
create table touch (
	site  integer not null,
	thing text collate "C" not null,
	at_ms bigint not null,
	id    text collate "C" not null,
	seq   bigint not null,
	part  text not null,
	primary key (site, thing, at_ms, id)
) /* without rowid */;
create index touch_seq on touch (site, seq);

-- Entries that are not simply applied: in conflict, or struck by a correction.
create table standing (
	site  integer not null,
	seq   bigint not null,
	state text collate "C" not null,
	by_seq bigint not null,
	why   text not null,
	primary key (site, seq)
);
create index standing_state on standing (site, state, seq);

-- What reached which set or piece.
create table reach (
	site   integer not null,
	origin text collate "C" not null,
	rank   integer not null,
	target text collate "C" not null,
	primary key (site, origin, rank, target)
) /* without rowid */;
create index reach_target on reach (site, target, origin);
