-- Nothing to do: a database keeps several mills, so an entry's number is told together with its mill.
select 1;
