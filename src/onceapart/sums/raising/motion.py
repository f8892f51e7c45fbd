"""What the wheel does in a position of the linkage: camber, track, roll centre."""

from __future__ import annotations

import math

from onceapart.sums.raising.linkage import Corner, Pose


def camber_deg(corner: Corner, pose: Pose) -> float:
    """Camber of the wheel.

    Parameters
    ----------
    corner : Corner
        The corner, with its camber at ride height.
    pose : Pose
        Its position.

    Returns
    -------
    float
        Camber against the body; negative if the top leans in. [°]

    Examples
    --------
    >>> from onceapart.sums.raising.linkage import DoubleWishbone
    >>> level = DoubleWishbone(lower_pivot=300+200j, lower_joint=650+200j, upper_pivot=300+420j,
    ...     upper_joint=650+420j, foot=700+0j, camber_deg=-0.5)
    >>> round(camber_deg(level, level.pose(0.2)), 9)
    -0.5

    References
    ----------
    .. [1] Geometry; no document.
    """
    return corner.camber_deg - math.degrees(pose.carrier_turn_rad)


def half_track_mm(corner: Corner, pose: Pose) -> float:
    """Distance of the contact patch from the middle of the car.

    Parameters
    ----------
    corner : Corner
        The corner.
    pose : Pose
        Its position.

    Returns
    -------
    float
        Half the track width. [mm]

    Examples
    --------
    >>> from onceapart.sums.raising.linkage import DoubleWishbone
    >>> level = DoubleWishbone(lower_pivot=300+200j, lower_joint=650+200j, upper_pivot=300+420j,
    ...     upper_joint=650+420j, foot=700+0j)
    >>> half_track_mm(level, level.pose(0.0))
    700.0

    References
    ----------
    .. [1] Geometry; no document.
    """
    return pose.moved(corner.tread).real


def road_mm(corner: Corner, pose: Pose) -> float:
    """Height of the road, seen from the body.

    Parameters
    ----------
    corner : Corner
        The corner.
    pose : Pose
        Its position.

    Returns
    -------
    float
        Height above where the road was at ride height before; below nought the car has risen. [mm]

    Examples
    --------
    >>> from onceapart.sums.raising.linkage import DoubleWishbone
    >>> level = DoubleWishbone(lower_pivot=300+200j, lower_joint=650+200j, upper_pivot=300+420j,
    ...     upper_joint=650+420j, foot=700+0j, tyre_gain_mm=11)
    >>> road_mm(level, level.pose(0.0))
    -11.0

    References
    ----------
    .. [1] Geometry; no document.
    """
    return pose.moved(corner.tread).imag


def swing_arm_mm(corner: Corner, pose: Pose) -> float:
    r"""Front-view swing arm: how far from the contact patch the point lies that the wheel turns about.

    Parameters
    ----------
    corner : Corner
        The corner.
    pose : Pose
        Its position.

    Returns
    -------
    float
        Length, level; below nought if the point lies outside; endless with parallel arms. [mm]

    Notes
    -----
    :math:`y_{contact} - y_{IC}`, IC where the lines of the arms meet.

    Examples
    --------
    >>> from onceapart.sums.raising.linkage import DoubleWishbone
    >>> sloped = DoubleWishbone(lower_pivot=300+200j, lower_joint=650+200j, upper_pivot=300+400j,
    ...     upper_joint=650+420j, foot=700+0j)
    >>> round(swing_arm_mm(sloped, sloped.pose(0.0)))
    3900

    References
    ----------
    .. [1] Milliken and Milliken, Race Car Vehicle Dynamics, ch. 17 (construction seen in text).
    """
    y, _, w = pose.instant_centre
    if abs(w) < 1e-9 * abs(y):
        return math.inf
    return half_track_mm(corner, pose) - y / w


def camber_gain_deg_per_mm(corner: Corner, pose: Pose) -> float:
    r"""Change of camber with bump.

    Parameters
    ----------
    corner : Corner
        The corner.
    pose : Pose
        Its position.

    Returns
    -------
    float
        Camber gained for each millimetre the wheel comes up; below nought if the top goes in. [°/mm]

    Notes
    -----
    :math:`-\frac{180}{\pi} / FVSA`.

    Examples
    --------
    >>> from onceapart.sums.raising.linkage import DoubleWishbone
    >>> sloped = DoubleWishbone(lower_pivot=300+200j, lower_joint=650+200j, upper_pivot=300+400j,
    ...     upper_joint=650+420j, foot=700+0j)
    >>> round(camber_gain_deg_per_mm(sloped, sloped.pose(0.0)), 4)
    -0.0147

    References
    ----------
    .. [1] Milliken and Milliken, Race Car Vehicle Dynamics, ch. 17 (formula derived).
    """
    return -math.degrees(1 / swing_arm_mm(corner, pose))


def roll_centre_mm(corner: Corner, pose: Pose) -> float:
    r"""Height of the roll centre of a car with two such corners.

    Parameters
    ----------
    corner : Corner
        The corner.
    pose : Pose
        Its position.

    Returns
    -------
    float
        Height above the road, in the middle of the car; endless if the instant centre is over the wheel. [mm]

    Notes
    -----
    Where the line from the contact patch to the instant centre crosses the middle of the car; with parallel
    arms the line is parallel to them. Same as :math:`(t/2) z_{IC} / FVSA`.

    Examples
    --------
    >>> from onceapart.sums.raising.linkage import DoubleWishbone
    >>> level = DoubleWishbone(lower_pivot=300+200j, lower_joint=650+200j, upper_pivot=300+420j,
    ...     upper_joint=650+420j, foot=700+0j)
    >>> round(roll_centre_mm(level, level.pose(0.0)), 6)
    0.0

    References
    ----------
    .. [1] Milliken and Milliken, Race Car Vehicle Dynamics, ch. 17 (construction seen in text).
    """
    y, z, w = pose.instant_centre
    contact = pose.moved(corner.tread)
    across, up = w * contact.real - y, z - w * contact.imag
    if abs(across) < 1e-9 * max(abs(up), abs(y), 1e-9):
        return math.inf
    return contact.real * up / across


def lower_arm_deg(pose: Pose) -> float:
    """Angle of the lower arm.

    Parameters
    ----------
    pose : Pose
        Position of the corner.

    Returns
    -------
    float
        Angle from level; below nought if it hangs down outwards. [°]

    Examples
    --------
    >>> from onceapart.sums.raising.linkage import DoubleWishbone
    >>> level = DoubleWishbone(lower_pivot=300+200j, lower_joint=650+200j, upper_pivot=300+420j,
    ...     upper_joint=650+420j, foot=700+0j)
    >>> round(lower_arm_deg(level.pose(-0.1)), 2)
    -5.73

    References
    ----------
    .. [1] Geometry; no document.
    """
    a, b, _ = pose.lower_line
    # The normal of the line through pivot and joint is (pivot.z - joint.z, joint.y - pivot.y).
    return math.degrees(math.atan2(-a, b))


def lower_joint_deg(pose: Pose) -> float:
    """How far the lower ball joint has swung since ride height before.

    Parameters
    ----------
    pose : Pose
        Position of the corner.

    Returns
    -------
    float
        Turn of the lower arm against the wheel carrier. [°]

    Examples
    --------
    >>> from onceapart.sums.raising.linkage import DoubleWishbone
    >>> level = DoubleWishbone(lower_pivot=300+200j, lower_joint=650+200j, upper_pivot=300+420j,
    ...     upper_joint=650+420j, foot=700+0j)
    >>> round(lower_joint_deg(level.pose(-0.1)), 2)
    -5.73

    References
    ----------
    .. [1] Geometry; no document.
    """
    return math.degrees(pose.arm_turn_rad - pose.carrier_turn_rad)


def upper_joint_deg(pose: Pose) -> float:
    """How far the upper ball joint has swung since ride height before, or the strut in its top mount.

    Parameters
    ----------
    pose : Pose
        Position of the corner.

    Returns
    -------
    float
        Turn of the upper arm against the wheel carrier; of a strut against the body. [°]

    Examples
    --------
    >>> from onceapart.sums.raising.linkage import DoubleWishbone
    >>> level = DoubleWishbone(lower_pivot=300+200j, lower_joint=650+200j, upper_pivot=300+420j,
    ...     upper_joint=650+420j, foot=700+0j)
    >>> round(upper_joint_deg(level.pose(-0.1)), 2)
    -5.73

    References
    ----------
    .. [1] Geometry; no document.
    """
    if pose.is_strut:
        return math.degrees(pose.carrier_turn_rad)
    return math.degrees(pose.upper_turn_rad - pose.carrier_turn_rad)
