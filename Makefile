# The commands of the house. Each is a short script in .ci/; `make` alone lists them.
.PHONY: help run test nightly lint bench faults races stalled mutation requirements

help:
	@awk -F ':.*## ' '/^[a-z]+:.*## / { printf "make %-14s %s\n", $$1, $$2 }' Makefile

run: ## start shopsafe on http://127.0.0.1:8000/ (PORT=, HOST=, DATABASE_URL=)
	@.ci/run.sh

test: ## lint, tests on SQLite and PostgreSQL, tests in a browser: what every change must pass
	@.ci/test.sh

nightly: ## what is too long for every change: each kind, size, role and language, and all of it on PostgreSQL
	@.ci/trials/nightly.sh

lint: ## the checks that read the code without running it
	@.ci/lint.sh

bench: ## how fast, beside a floor in the same run (some minutes; SIZES=1,10,100); the figures are kept in var/bench/
	@.ci/trials/bench.sh

faults: ## kill a working server a hundred times (KILLS=, SEED=), on both engines: what it acknowledged stands, once
	@.ci/trials/faults.sh

stalled: ## stall fifty connections for a hundred seconds: everybody else must be answered within one
	@.ci/trials/stalled.sh

races: ## every pair of acts at the same moment, on both engines (ROUNDS=, SEED=): one comes after the other
	@.ci/trials/races.sh

mutation: ## change the rules one thing at a time: does a test notice? (some minutes)
	@.ci/trials/mutation.sh

requirements: ## pin requirements*.in with hashes
	@.ci/requirements.sh
