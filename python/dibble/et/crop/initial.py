"""The single coefficient of nearly bare soil between wettings (FAO-56 Eq. 59 and Annex 7).

Every function takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import Literal, TypeAlias, overload

from dibble import _dibble
from dibble._types import Floats, Number, Numbers, OnError

BareTexture: TypeAlias = Literal["coarse", "medium_and_fine"]

__all__ = ["kc_initial"]


@overload
def kc_initial(*, interval_d: Number, eto_mm: Number, wetting_mm: Number, texture: BareTexture, on_error: OnError = ...) -> float: ...
@overload
def kc_initial(*, interval_d: Numbers, eto_mm: Numbers, wetting_mm: Numbers, texture: BareTexture, on_error: OnError = ...) -> Floats: ...
def kc_initial(
    *, interval_d: Numbers, eto_mm: Numbers, wetting_mm: Numbers, texture: BareTexture, on_error: OnError = "raise"
) -> float | Floats:
    """Return the crop coefficient of nearly bare soil, the first stage of a season.

    Between the curves of light (10 mm) and heavy (40 mm) wettings by Eq. 59.

    Parameters
    ----------
    interval_d : float or array-like
        Days between wettings, 0.1 to 60.
    eto_mm : float or array-like
        Reference evapotranspiration, mm a day, above 0 to 25.
    wetting_mm : float or array-like
        Depth infiltrated at each wetting, mm, 0 to 2000.
    texture : {"coarse", "medium_and_fine"}
        Sand and loamy sand, or everything finer.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Coefficient, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, UnknownNameError
        A value out of range, or a texture that is neither of the two.

    References
    ----------
    FAO-56 Eq. 59 and Annex 7. Its Example 7-1 prints 0.75 for the heavy curve on coarse soil; its 0.57 for the light one,
    and so its 0.63, carry a slip (the exponential is left out): the formula gives 0.53 and 0.605. TEW and REW of the curves
    from memory; they reproduce both.

    Examples
    --------
    >>> from dibble.et import crop
    >>> sandy = dict(interval_d=3.5, eto_mm=5, texture="coarse")
    >>> [round(kc, 2) for kc in crop.kc_initial(wetting_mm=[10, 40], **sandy).tolist()]
    [0.53, 0.75]
    """
    return _dibble.kc_initial(interval_d=interval_d, eto_mm=eto_mm, wetting_mm=wetting_mm, texture=texture, on_error=on_error)
