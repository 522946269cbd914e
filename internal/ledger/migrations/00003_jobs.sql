-- Long computations. Times are milliseconds since 1970 by the database's clock; 0 and '' are "not yet".

-- +goose Up
create table job (
    site text not null,
    id text not null,
    kind text not null,
    person text not null,
    state text not null check (state in ('queued', 'running', 'done', 'failed', 'cancelled')),
    input text not null,
    checkpoint text not null default '',
    result text not null default '',
    progress double precision not null default 0,
    said text not null default '',
    trouble text not null default '',
    asked bigint not null,
    began bigint not null default 0,
    ended bigint not null default 0,
    beat bigint not null,
    slices bigint not null default 0,
    lost bigint not null default 0,
    turn bigint not null default 1,
    holder text not null default '',
    primary key (site, id)
);

create index job_unfinished on job (site, beat) where state in ('queued', 'running');

-- +goose Down
drop table job;
