-- What the gate knows of people and machines: only what cannot be turned back into a secret. Times are milliseconds since 1970, UTC.

-- Hashes of a person's passphrase and PIN. A session or tablet of an earlier generation has ended.
create table account (
	site       text collate "C" not null,
	person     text collate "C" not null,
	passphrase text not null,
	pin        text not null,
	generation bigint not null,
	primary key (site, person)
);

-- Who is signed in. digest is that of the token.
create table session (
	site       text collate "C" not null,
	digest     text collate "C" not null,
	person     text collate "C" not null,
	tablet     text collate "C" not null,
	passphrase integer not null, -- 1 by passphrase, 0 by PIN
	generation bigint not null,
	began_ms   bigint not null,
	seen_ms    bigint not null,
	until_ms   bigint not null,
	primary key (site, digest)
);
create index session_person on session (site, person);
create index session_tablet on session (site, tablet) where tablet <> '';

-- On which tablets a person's PIN serves, and how many wrong ones were tried there.
create table tablet (
	site       text collate "C" not null,
	tablet     text collate "C" not null,
	person     text collate "C" not null,
	generation bigint not null,
	until_ms   bigint not null,
	tries      integer not null,
	primary key (site, tablet, person)
);

-- Tries at a passphrase since the last right one.
create table tally (
	site    text collate "C" not null,
	lock    text collate "C" not null,
	tries   integer not null,
	last_ms bigint not null,
	primary key (site, lock)
);

-- Machines' tokens.
create table token (
	site     text collate "C" not null,
	name     text collate "C" not null,
	digest   text collate "C" not null,
	prefix   text not null,
	role     text not null,
	made_ms  bigint not null,
	until_ms bigint not null,
	primary key (site, name),
	unique (site, digest)
);
