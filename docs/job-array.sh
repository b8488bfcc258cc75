#!/bin/sh
# A batch in shares as an array of jobs, for Slurm or another scheduler that starts a script once a share. For 16 shares:
#
#   first=$(sbatch --parsable --array=1-16 job-array.sh measure 16 SCANS OUT)
#   second=$(sbatch --parsable --array=1-16 --dependency=afterany:"$first" job-array.sh make 16 SCANS OUT)
#   sbatch --dependency=afterany:"$second" job-array.sh gather 16 SCANS OUT
#
# One share alone, run again: --array=3, and still 16. With another scheduler set SHARE to its number of the job, from 1 on.
# What stands after OUT is handed to dryside: give both passes the same. gather takes --no-sheet and --force, nothing else.
#SBATCH --job-name=dryside
#SBATCH --cpus-per-task=2
#SBATCH --mem=1G
#SBATCH --output=dryside-%A-%a.log
set -eu

[ $# -ge 4 ] || { echo "usage: job-array.sh measure|make|gather SHARES SCANS OUT [OPTION...]" >&2; exit 2; }
pass=$1 shares=$2 scans=$3 out=$4
shift 4

if [ "$pass" = gather ]; then
    exec dryside batch --gather "$out" "$@"
fi

share=${SHARE:-${SLURM_ARRAY_TASK_ID:?no number of a share: set SHARE}}
set -- --out "$out" --share "$share/$shares" --jobs "${SLURM_CPUS_PER_TASK:-2}" "$@"
case $pass in
measure) exec dryside batch "$scans" --measure-only "$@" ;;
make) exec dryside batch "$scans" "$@" ;;
*) echo "job-array.sh: $pass: use measure, make or gather" >&2; exit 2 ;;
esac
