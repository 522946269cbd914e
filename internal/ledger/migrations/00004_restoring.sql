-- A mill's book that is being restored: it is not whole until its row is gone. The columns say how its journal is to end.
create table restoring (
	site    integer not null primary key references chain (site),
	entries bigint not null,
	head    bytea not null
);
