-- A file keeps one mill, so the number of an entry is the row's own, and no index of its own is written with each entry. No index
-- begins with the mill, or SQLite would take it for a stretch of the journal and sort the whole.
create table numbered (
	site    integer not null references chain (site),
	seq     integer not null primary key,
	id      text not null unique,
	at_ms   bigint not null,
	person  text not null,
	station text not null,
	act     text not null,
	body    text not null,
	prev    bytea not null,
	hash    bytea not null
);
insert into numbered (site, seq, id, at_ms, person, station, act, body, prev, hash)
	select site, seq, id, at_ms, person, station, act, body, prev, hash from journal order by seq;
drop table journal;
alter table numbered rename to journal;
