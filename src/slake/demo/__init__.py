"""One made-up workshop over six weeks, told through actions; also the data of tests. Nothing in it is real."""
