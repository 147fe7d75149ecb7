"""The smallest kernel, for tests of how kernels are compiled and kept."""

from geometry.kernels.jit import kernel


@kernel
def doubled(value: float) -> float:
    return 2 * value
